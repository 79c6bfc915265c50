"""Printers as they were measured: what each misses by, and who prints on which."""
