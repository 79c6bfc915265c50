"""One tile with everything: layers, firings, photos, history."""
