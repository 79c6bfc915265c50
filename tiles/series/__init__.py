"""Tiles made together to answer one question, and how far they have come."""
