"""Two walls, one above the other."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Tier:
    """A lower and an upper wall by name; `offset_m` from face to face at the base."""

    lower: str
    upper: str
    offset_m: float
