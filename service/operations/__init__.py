"""What the service does, one file per thing: called by the API, the command line and jobs."""
