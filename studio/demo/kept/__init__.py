"""Where the demo studio keeps its tiles, and the load that stands ready for its kiln."""
