"""Programmes of a firing: ramps, holds and cooling, written and read as one line (segments.py)."""
