"""Tests, mirroring the code."""
