"""What a search finds, as CSV and JSON: the same filters as the page, the units in the names of the columns."""
