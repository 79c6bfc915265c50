"""Outcomes found by any of their conditions; the address is the search."""
