"""Commands of the tiles floor."""
