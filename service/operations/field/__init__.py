"""Quotes for who builds them: the same work, without a sum, a rate or a supplier anywhere."""
