"""What is one change apart from a result: found over the condition columns, shown in the order of each condition."""
