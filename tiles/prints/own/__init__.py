"""The kinds of print that live here: cards, labels, the photo mat, and the report of the floor below."""
