"""How deep topsoil is stripped and put back."""

from __future__ import annotations

from dataclasses import dataclass

# What material files and tasks call it.
TOPSOIL = "topsoil"


@dataclass(frozen=True, slots=True, kw_only=True)
class Topsoil:
    """Depths of topsoil: stripped before the work, put back after it. `tasks_m3` is what tasks of
    site work take of it, `heaped_m3` what others of them strip and heap, both in place."""

    strip_m: float
    replace_m: float
    tasks_m3: float = 0.0
    heaped_m3: float = 0.0


NO_TOPSOIL = Topsoil(strip_m=0.0, replace_m=0.0)
