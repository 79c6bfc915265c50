"""The coat grid: a tile's layers bottom to top, its zones, its coats; and one pattern for many tiles."""
