"""Commands of the firings floor."""
