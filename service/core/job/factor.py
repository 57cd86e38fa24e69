"""A factor on hours, and what it stands for."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """What the hours are multiplied by, and why."""

    factor: Fraction
    words: str
