"""What waits to be fired: all waiting tiles by the fire they ask for, and the kilns that could give it."""
