"""Who calls the service from outside, what each may see, and what is told about changes."""
