"""Walls that stand above each other: what they dig together, and what each of them holds."""
