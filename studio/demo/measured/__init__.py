"""What the demo studio measured on fired ware."""
