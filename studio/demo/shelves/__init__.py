"""Fills the demo studio's shelves from the fixtures: people, kilns, programmes, glazes, bodies, forms."""
