"""Quoting for dry-stacked modular-block retaining walls: a wall spec in, a priced quote out."""
