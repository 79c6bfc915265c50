"""How sure we are: what one change does, repeats, drift, the chance of running off, each with n and an interval."""
