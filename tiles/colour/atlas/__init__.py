"""The colours of a search's results laid out by hue and strength."""
