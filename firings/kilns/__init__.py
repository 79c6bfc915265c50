"""Kilns and their shelves."""
