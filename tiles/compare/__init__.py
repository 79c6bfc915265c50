"""Two to eight results side by side: what differs stands out, what is the same is said once."""
