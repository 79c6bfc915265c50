"""How many results each choice would give. One function counts; another way of counting replaces only it."""
