"""A firing's pages: plan, fire, witness cones, note; the one writer of its reached cone."""
