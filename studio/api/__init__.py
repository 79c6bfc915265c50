"""What other programs read of the log: a few addresses under /api/1/, each answer as the page would show it."""
