"""What each wall has of a quantity."""

from __future__ import annotations

Shares = tuple[tuple[str, float], ...]  # (wall, net amount), in the order of the walls' names
