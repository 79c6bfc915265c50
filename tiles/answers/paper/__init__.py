"""An answer on one page."""
