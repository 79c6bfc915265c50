"""Long prints made in the background: counted as they go, kept as files for a day."""
