"""Caps: one run for each top joint, counted leg by leg. Rule 7."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.core.errors import Fault, LayoutFaultsError
from service.core.job.wall_system import WallSystem, WallUnit
from service.core.layout.corner import PlanOffsetError
from service.core.layout.courses import CapLeg, CapRun
from service.core.layout.legs import split_legs
from service.core.layout.levels import Stretch, level_runs
from service.core.layout.plan import PlanLine
from service.core.rounding import whole_units


def lay_out_caps(
    system: WallSystem, plan: PlanLine, stretches: Sequence[Stretch], lowest: int
) -> tuple[CapRun, ...]:
    """Caps of a wall; none without a cap unit. Raises LayoutFaultsError where they don't meet."""
    try:
        return tuple(_cap_runs(system, plan, stretches, lowest))
    except PlanOffsetError as error:
        raise LayoutFaultsError([offset_fault("caps", error)]) from None


def offset_fault(what: str, error: PlanOffsetError) -> Fault:
    """A fault of a wall whose plan can't be moved as far as something of it lies behind."""
    return Fault(
        code="offset-does-not-meet",
        at=("plan", error.part - 1),
        message=f"{what}: {error}",
        hint="a larger radius beside this corner, or a straight between curve and corner",
    )


def _cap_runs(
    system: WallSystem, plan: PlanLine, stretches: Sequence[Stretch], lowest: int
) -> Iterator[CapRun]:
    """Cap runs: one top joint each, counted leg by leg, returns at the higher side of a step."""
    if system.cap is None:
        return
    runs = level_runs(stretches, lambda stretch: stretch.top_joint)
    for i, run in enumerate(runs):
        front = system.setback_m * (run.joint - 1 - lowest)
        stations = split_legs(plan, run.from_m, run.to_m)
        lengths = [_cap_leg_m(plan, a, b, front, system.cap) for a, b in stations]
        if i > 0 and runs[i - 1].joint < run.joint:
            lengths[0] += system.cap.depth_m
        if i + 1 < len(runs) and runs[i + 1].joint < run.joint:
            lengths[-1] += system.cap.depth_m
        yield CapRun(
            from_station_m=run.from_m,
            to_station_m=run.to_m,
            joint=run.joint,
            legs=tuple(
                CapLeg(
                    from_station_m=a,
                    to_station_m=b,
                    length_m=length,
                    units=whole_units(length, system.cap.face_length_m),
                )
                for (a, b), length in zip(stations, lengths, strict=True)
            ),
        )


def _cap_leg_m(plan: PlanLine, from_m: float, to_m: float, front_m: float, cap: WallUnit) -> float:
    """The longer of a cap leg's front edge (overhang left out) and its rear edge."""
    return max(plan.run_length_m(from_m, to_m, x) for x in (front_m, front_m + cap.depth_m))
