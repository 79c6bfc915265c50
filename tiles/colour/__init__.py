"""Colour by published formulas, on arrays of shape (..., 3): each figure says its illuminant and its basis."""
