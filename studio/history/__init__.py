"""What changed, who did it and when; the bin; one-step undo."""
