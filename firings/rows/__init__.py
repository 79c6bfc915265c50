"""Rows by the thousand: written set-wise, history included, inside the caller's transaction; asked by their keys."""
