"""How thickly each person and brush lays a coat on, from tiles that were weighed."""
