"""From SQLite to PostgreSQL in one step, proven row by row."""
