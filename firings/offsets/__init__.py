"""A kiln’s own correction: learned from its witness cones and uncorrected curves, applied to its later curves only."""
