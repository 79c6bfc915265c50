"""A firing's report to hang at the kiln: facts, curves asked and fired, what stood where on its shelves (sheet.py)."""
