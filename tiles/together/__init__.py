"""What is done to many results at once: what was seen is changed alike, or they go to print; one step takes it back."""
