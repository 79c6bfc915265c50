"""What each line of the log carries besides its words: which request it belongs to."""
