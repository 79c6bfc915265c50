"""Glazes and batches, clay bodies, tile forms."""
