"""What a series asks for and was never fired, and how many pairs of its conditions met."""
