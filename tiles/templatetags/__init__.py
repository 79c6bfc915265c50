"""Tags and filters for templates: words of the trade for stored values."""
