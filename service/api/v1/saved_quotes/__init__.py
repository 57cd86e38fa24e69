"""Quotes that are kept."""
