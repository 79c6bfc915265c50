"""Photographs close up: cut into pieces on demand, never decoded larger than memory allows, measured in mm."""
