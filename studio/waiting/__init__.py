"""The home page: what needs you next."""
