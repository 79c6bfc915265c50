"""A firing in words: facts, reached cone, what was asked and what was fired, witness cones, notes, for its report."""
