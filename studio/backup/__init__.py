"""A backup is one file, made while people work, and proven by restoring it: a bit that flipped anywhere is found."""
