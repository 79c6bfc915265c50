"""How much glaze there is and lies: slop and its water, coats by weight, a batch's readings over time."""
