"""A question about a glaze answered on one page: fired so, nearly so, what a change does, how sure that is."""
