"""Where a tile is: on a board, in a box, on a shelf; noted for many at once, and told so that it can be brought."""
