"""Saved searches: a name for a search, one's own or shared in the studio. The query string is the search."""
