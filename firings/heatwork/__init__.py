"""Heat work: bending, the decimal cone of curves and programmes, and which evidence decides it (reached.py)."""
