"""Glazes, clay bodies, tiles, outcomes, and all that is asked of them."""
