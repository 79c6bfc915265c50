"""What is measured on fired ware: the water it takes up, and what acid draws out of it by a laboratory's report."""
