"""`/v1/api-keys`: keys over HTTP."""
