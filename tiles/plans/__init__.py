"""Which tiles to make to learn the most: factors and levels, covering sets, blends, and what is missing."""
