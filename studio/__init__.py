"""Puts the product together: settings, site map, people, the home page, the demo studio."""
