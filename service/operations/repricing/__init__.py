"""Saved quotes priced again at a new revision of a price list."""
