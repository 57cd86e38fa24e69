"""What a cap brings to the checks: its weight, at the middle of its depth."""

from __future__ import annotations

from collections.abc import Iterator

from service.core.job.fact import Assumption
from service.core.job.wall_system import WallSystem
from service.core.measure import STANDARD_GRAVITY
from service.core.screening.formulas.gravity import CapWeight


def cap_weight(system: WallSystem) -> CapWeight | None:
    """What a cap weighs on the top course; None without a cap, or where its file has no weight."""
    cap = system.cap
    if cap is None or cap.weight_kg is None:
        return None
    weight = cap.weight_kg * STANDARD_GRAVITY / cap.face_length_m
    return CapWeight(
        weight_n_m=weight,
        middle_m=cap.depth_m / 2 - system.cap_overhang_m,
        depth_m=cap.depth_m,
        height_m=cap.height_m,
    )


def cap_assumptions(system: WallSystem) -> Iterator[Assumption]:
    """One where the system has a cap whose weight nobody gave."""
    if system.cap is not None and system.cap.weight_kg is None:
        yield Assumption(
            field="/wall_system",
            value=f"{system.cap.item}: no weight",
            why=f"wall_systems/{system.id} gives no weight of its cap: the checks leave it out "
            "(rule 14.5)",
        )
