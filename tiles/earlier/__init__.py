"""Tiles that were made, fired and judged before they were written down here: many at once, whole or not at all."""
