"""Who may come in, by which link or password, and as what. Only hashes of links are kept."""
