"""Results brought in from earlier years wait for nobody: they are told of apart from today's work, and quietly."""
