"""Logged curves: any logger's file to times and temperatures, nothing guessed in silence (reading.py, cleaning.py)."""
