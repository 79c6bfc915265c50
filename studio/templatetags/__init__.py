"""Tags of the studio floor."""
