"""Spreadsheets of glazes and clay bodies come in whole or not at all, and what is wrong is said by row and column."""
