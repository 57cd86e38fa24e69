"""What changed."""
