"""Saved quotes: revisions, states, customers, actuals, recomputation, export."""
