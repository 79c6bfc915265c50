"""Label stock in pictures: what the studio has, how its numbers look, and what is left of a part-used sheet."""
