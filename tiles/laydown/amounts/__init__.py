"""How much slop so many tiles take, what it holds dry, and its water."""
