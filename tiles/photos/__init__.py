"""Photographs: believed only when decoded, stored file before row, filed to a tile or left in the sorting tray."""
