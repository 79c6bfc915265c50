"""A firing on paper: facts, reached cone, curve and witness cones on one sheet (sheet.py), nothing left out unsaid."""
