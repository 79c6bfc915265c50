"""The kinds of print that live here: cards, labels and the photo mat."""
