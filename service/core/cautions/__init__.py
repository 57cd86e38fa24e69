"""What to heed: facts of the job against the limits of the place."""
