"""Long imports on SQLite, written in lots between which others write."""
