"""A typed tile number: its check digit, the tile it names, and what comes near a mistyped one (near.py)."""
