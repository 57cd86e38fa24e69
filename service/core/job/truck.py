"""A truck: what one load of it holds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Truck:
    """What one load holds: a loose volume and a payload."""

    volume_m3: float
    payload_kg: float
