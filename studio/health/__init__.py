"""Whether the studio answers: database and photo store, tried for real."""
