"""Packages that an earlier version made."""
