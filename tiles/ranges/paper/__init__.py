"""A range sheet on one page: the matrix as large as it fits, every word set or reported."""
