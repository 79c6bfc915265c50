"""Tiles onto shelves; a body's hold, a glaze's range, a known runner contradicted (warnings.py)."""
