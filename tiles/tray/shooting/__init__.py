"""The order of shooting and the firing's list: what a waiting photo may show; offered, never filed by itself."""
