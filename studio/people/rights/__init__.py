"""What people may do."""
