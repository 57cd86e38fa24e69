"""Who works how long: hours of crews and machines, and the order of work."""
