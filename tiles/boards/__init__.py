"""Wall boards: laid out by rule (layout.py) or by hand, with what is missing, and a map of them on paper."""
