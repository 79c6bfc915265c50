"""All fired results as columns of numbers in memory: counted, selected and put in order without asking the database."""
