"""One glaze as a matrix of pictures: which conditions stand across and down, and which result stands for a cell."""
