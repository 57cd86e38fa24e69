"""Webhooks over HTTP."""
