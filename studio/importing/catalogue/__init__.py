"""Glazes and clay bodies from a sheet: each distinct cell validated once, by the catalogue's own forms."""
