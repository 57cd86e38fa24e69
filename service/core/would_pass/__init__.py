"""What would pass in place of walls that fail: changes, other walls, and what comes nearest."""
