"""How deep topsoil is stripped and put back."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Topsoil:
    """Depths of topsoil: stripped before the work, put back after it."""

    strip_m: float
    replace_m: float


NO_TOPSOIL = Topsoil(strip_m=0.0, replace_m=0.0)
