"""The studio as tables and rows: which are carried to another place, how they are read and written whole."""
