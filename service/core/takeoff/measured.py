"""What work on the walls is measured by: the wall as it is laid out, and what it takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

from service.core.closed_list import check_words
from service.core.job.measured import Measured, measured_at
from service.core.job.section import Section
from service.core.layout.layout import WallLayout
from service.core.rounding import whole_units
from service.core.shares import Shares
from service.core.takeoff.cuts import count_cuts
from service.core.takeoff.quantities import QuantityLine
from service.core.takeoff.stone import base_length_m, drain_pipe, hand_strip_m3, leveling_pad
from service.core.takeoff.uses import USE_KINDS, Use, cap_length_m, unit_counts


def measure_walls(
    layouts: Sequence[WallLayout],
    uses: Sequence[Use],
    lines: Sequence[QuantityLine],
    section: Section,
) -> Mapping[Measured, Shares]:
    """What work is measured by, wall by wall; `job` is one, whatever the walls, and no strip is
    kept from the machines."""
    names = [layout.name for layout in layouts]
    found: dict[Measured, dict[str, float]] = {
        measured: {layout.name: measure(layout, section) for layout in layouts}
        for measured, measure in _BY_WALL.items()
    }
    found |= {measured: dict.fromkeys(names, 0.0) for measured in (*_BY_USE, _DELIVERED, _STRIP)}
    for use in uses:
        if use.kind.measured:
            found[use.kind.measured][use.wall] += use.amount
    for line in lines:
        for wall, amount in line.shares:
            found[_DELIVERED][wall] += (line.weight_kg or 0.0) * amount / line.net
    shares = {m: tuple((name, by_wall[name]) for name in names) for m, by_wall in found.items()}
    return MappingProxyType({**shares, _JOB: (("", 1.0),)})


def measure_strip(
    measured: Mapping[Measured, Shares], layouts: Sequence[WallLayout], width_m: float
) -> Mapping[Measured, Shares]:
    """What was measured, with a strip of a width behind the units that is compacted by hand."""
    by_wall = {layout.name: hand_strip_m3(layout, width_m) for layout in layouts}
    return MappingProxyType({**measured, _STRIP: tuple(sorted(by_wall.items()))})


def _base_course_units(layout: WallLayout) -> float:
    unit_length = layout.system.standard.face_length_m
    return float(
        sum(
            whole_units(
                layout.plan.run_length_m(run.from_m, run.to_m, layout.offset_m(run.joint)),
                unit_length,
            )
            for run in layout.base_runs
        )
    )


def _outlets(layout: WallLayout, section: Section) -> float:
    return float(drain_pipe(layout, section.pipe).outlets) if section.pipe else 0.0


_BY_WALL: Mapping[Measured, Callable[[WallLayout, Section], float]] = {
    "walls": lambda _wall, _section: 1.0,
    "wall_length": lambda wall, _section: wall.length_m,
    "base_length": lambda wall, _section: base_length_m(wall),
    "base_steps": lambda wall, _section: float(len(wall.steps)),
    "corners": lambda wall, _section: float(len(wall.plan.corners)),
    "all_units": lambda wall, _section: float(sum(unit_counts(wall))),
    "base_course_units": lambda wall, _section: _base_course_units(wall),
    "cuts": lambda wall, _section: float(count_cuts(wall)),
    "cap_length": lambda wall, _section: cap_length_m(wall),
    "face_area": lambda wall, _section: wall.face_area_m2,
    "exposed_area": lambda wall, _section: wall.exposed_area_m2,
    "pay_face_area": lambda wall, _section: wall.pay_face_area_m2,
    "pad_area": lambda wall, section: leveling_pad(wall, section.leveling_pad).area_m2,
    "outlets": _outlets,
}
_BY_USE: tuple[Measured, ...] = tuple(kind.measured for kind in USE_KINDS if kind.measured)
_DELIVERED: Measured = "delivered_mass"
_STRIP: Measured = "hand_strip_volume"
_JOB: Measured = "job"
check_words(measured_at("takeoff"), (*_BY_WALL, *_BY_USE, _DELIVERED, _STRIP, _JOB))
