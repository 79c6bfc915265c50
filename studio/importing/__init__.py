"""Spreadsheets come in whole or not at all, what is wrong is said by row and column, and one step undoes it."""
