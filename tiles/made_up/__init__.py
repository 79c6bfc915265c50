"""Made-up studios of any size, to measure with: invented names, believable shares, the same for the same seed."""
