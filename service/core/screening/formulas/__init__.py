"""Formulas of screening, which know nothing of what applies them."""
