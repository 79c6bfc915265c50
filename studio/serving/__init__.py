"""From a fresh machine to a running studio: the port, the server processes, the words in the terminal."""
