"""Tags of the firings floor."""
