"""What each assumption of a quote is worth: quotes with another plausible value in its place."""
