"""The sorting tray: which tile a photo shows, by what is in view or by a person's word; never by a silent guess."""
