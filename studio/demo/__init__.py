"""The demo studio: its shelves (reading.py), its year (plan.py), the rules of the trade, tiles drawn by code (draw.py)."""
