"""Saved quotes on new prices."""
