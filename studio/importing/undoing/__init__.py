"""An import taken back as a whole, but for what somebody changed since; and put back again."""
