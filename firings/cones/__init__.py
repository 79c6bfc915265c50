"""The published cone series: order, names and end points (cones.csv, with its source)."""
