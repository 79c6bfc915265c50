"""Rows written by the thousand, history included: set-wise, inside the caller's transaction."""
