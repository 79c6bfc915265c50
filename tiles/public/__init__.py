"""What anybody with an address may look at: read-only, no sign-in, nothing private in it."""
