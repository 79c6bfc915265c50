"""Heat work: which evidence decides the cone the ware really saw (reached.py)."""
