"""What opens the closed tiles of an unload page without a network: a blank tile, and what stands on each."""
