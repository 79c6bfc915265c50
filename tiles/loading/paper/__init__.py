"""The load sheet: each shelf to scale with its numbers, to carry to the kiln."""
