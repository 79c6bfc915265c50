"""The series planner: factors and rules typed in, tiles made; all reckoning is in tiles/plans."""
