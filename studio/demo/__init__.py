"""The demo studio: shelves (reading.py), a year (plan.py), rules of the trade (behaviour.py), pictures (draw.py)."""
