"""A glazing session: which tile is next and what to brush on it, kept coat by coat or typed in from the sheet."""
