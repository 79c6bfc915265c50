"""The page of a glaze's combinations: pictures, the chance of running off, and what is surest to stay on."""
