"""The map of a board on paper: as a clear grid, or its tiles to scale."""
