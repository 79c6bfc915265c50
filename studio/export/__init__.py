"""The whole studio as an open package that any program can read (Frictionless Data Package), and back without loss."""
