"""Ratios against a floor measured in the same run, printed and not asserted: milliseconds do not travel."""
