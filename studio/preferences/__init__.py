"""How this studio likes things written; its keeper decides."""
