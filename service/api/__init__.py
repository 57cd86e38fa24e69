"""The HTTP face of the service: what stands in `openapi/` is generated from here."""
