"""The facts of a job that cautions hang on, each with the figure in words and where it stands.

Facts are keyed by Trigger (service/core/job/jurisdiction.py); values in SI, 1 for what only holds
or doesn't.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import assert_never

from service.core.job.fact import Fact, Facts
from service.core.job.jurisdiction import Trigger
from service.core.job.section import Section
from service.core.job.spec import Curve
from service.core.job.wall_system import WallSystem
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M

# What standard, corner and cap are called in a sentence.
UNIT_NAMES = ("standard unit", "corner unit", "cap")


def unit_weight_fact(system: WallSystem, units: UnitSet) -> Facts:
    """Weight of the heaviest unit, where the catalog gives weights."""
    pieces = zip((system.standard, system.corner, system.cap), UNIT_NAMES, strict=True)
    weighed = [
        (unit.weight_kg, name) for unit, name in pieces if unit and unit.weight_kg is not None
    ]
    if not weighed:
        return {}
    kg, name = max(weighed)
    return {"unit_weight": Fact(value=kg, words=f"The {name} weighs {units.show(kg, 'mass')}.")}


def wall_facts(layout: WallLayout, section: Section, units: UnitSet) -> Facts:
    """Facts of one wall."""
    spec = layout.spec
    return {
        **_heights(layout, section, units),
        "front_slope": Fact(value=spec.front_slope),
        "end_against_structure": Fact(
            value=float("against_structure" in (spec.ends.start, spec.ends.finish))
        ),
        "exposed_end": Fact(value=float("open" in (spec.ends.start, spec.ends.finish))),
        **_tight_curve(layout, units),
        **_sharpest_corner(layout),
        **_step_near_end(layout, units),
    }


def _heights(layout: WallLayout, section: Section, units: UnitSet) -> dict[Trigger, Fact]:
    pad = section.leveling_pad.thickness_m + section.leveling_pad.overdig_m

    def trench_m(stretch: Stretch) -> float:
        levels = (stretch.interval.start, stretch.interval.finish)
        ground = max(max(place.front_m, place.back_m) for place in levels)
        return ground - layout.grid.level_m(stretch.base) + pad

    def top_m(stretch: Stretch) -> float:
        return layout.grid.level_m(stretch.top_joint) + layout.system.cap_height_m

    def front_m(stretch: Stretch) -> float:
        return min(stretch.interval.start.front_m, stretch.interval.finish.front_m)

    def highest(measure: Callable[[Stretch], float], name: str) -> Fact:
        value, stretch = max(
            ((measure(stretch), stretch) for stretch in layout.stretches), key=lambda pair: pair[0]
        )
        place = units.show(stretch.from_m, "length")
        return Fact(value=value, words=f"{name} {units.show(value, 'length')} at station {place}.")

    return {
        "exposed_height": Fact(
            value=layout.max_exposed_m,
            words=f"Largest exposed height {units.show(layout.max_exposed_m, 'length')}.",
        ),
        "drop_at_edge": highest(
            lambda stretch: top_m(stretch) - front_m(stretch),
            "From the top as built to the ground in front",
        ),
        "wall_height": highest(layout.built_height_m, "Wall height"),
        "trench_depth": highest(trench_m, "From bottom of trench to ground behind"),
    }


def _tight_curve(layout: WallLayout, units: UnitSet) -> dict[Trigger, Fact]:
    """The first curve tighter than the system's minimum: outside at its top course, inside at
    its base course (rule 1.7). One that no unit stands along has neither."""
    for curve, here in _curves(layout):
        course, radius, minimum = _tightest(layout, curve, here)
        if minimum is not None and radius < minimum - CLOSE_M:
            found, allowed = (units.show(value, "length") for value in (radius, minimum))
            side = curve.side.capitalize()
            words = f"{side} radius {found} at the {course} course, minimum {allowed}."
            return {"radius_below_minimum": Fact(value=1.0, words=words)}
    return {}


def _curves(layout: WallLayout) -> Iterator[tuple[Curve, Sequence[Stretch]]]:
    """Each curve with the stretches along it: those that only touch its ends don't count."""
    for piece in layout.plan.pieces:
        if isinstance(piece.part, Curve):
            here = [
                stretch
                for stretch in layout.stretches
                if min(stretch.to_m, piece.to_m) - max(stretch.from_m, piece.from_m) >= CLOSE_M
            ]
            if here:
                yield piece.part, here


def _tightest(
    layout: WallLayout, curve: Curve, here: Sequence[Stretch]
) -> tuple[str, float, float | None]:
    """At which course a curve is tightest, its radius there and the system's minimum."""
    match curve.side:
        case "outside":
            top = layout.offset_m(max(stretch.top_joint for stretch in here) - 1)
            return "top", curve.radius_m - top, layout.system.minimum_outside_radius_m
        case "inside":
            base = layout.offset_m(min(stretch.base for stretch in here))
            return "base", curve.radius_m + base, layout.system.minimum_inside_radius_m
        case _:
            assert_never(curve.side)


def _sharpest_corner(layout: WallLayout) -> dict[Trigger, Fact]:
    """Smallest angle between the faces at a corner: pi less the change of direction."""
    angles = [math.pi - joint.angle_rad for _, joint in layout.plan.corners]
    if not angles:
        return {}
    words = f"Faces meet at {math.degrees(min(angles)):.4g} deg."
    return {"sharp_corner": Fact(value=min(angles), words=words)}


def _step_near_end(layout: WallLayout, units: UnitSet) -> dict[Trigger, Fact]:
    """Distance from the nearest base step to an end of the wall."""
    distances = [min(step.station_m, layout.length_m - step.station_m) for step in layout.steps]
    if not distances:
        return {}
    words = f"Nearest step {units.show(min(distances), 'length')} from the end."
    return {"base_step_near_end": Fact(value=min(distances), words=words)}
