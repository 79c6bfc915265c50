"""Tiles out of the kiln: judge each zone, same as last, undo."""
