"""Facts of what stands on the ground behind a wall, each with the figure in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import get_args

from service.core.closed_list import check_words
from service.core.job.fact import Fact, Facts
from service.core.job.jurisdiction import Trigger
from service.core.job.spec import LoadAbove, NearWord, WallSpec
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet, number
from service.core.rounding import CLOSE_M
from service.core.screening.loads import back_slope_at, counted_above, states_load
from service.core.screening.slope_behind import rise_behind

_SLOPE_DIGITS = 3
_WALKWAY: NearWord = "walkway"  # asks for a guard, however far down the ground is
_NEAR_TRIGGER: Mapping[NearWord, Trigger] = {
    "building": "building_near",
    "fence": "fence_near",
    "machine": "machine_near",
    "old_wall": "old_wall_near",
    "pool": "pool_near",
    "septic": "septic_near",
}
check_words(get_args(NearWord), (*_NEAR_TRIGGER, _WALKWAY))


def load_facts(
    layout: WallLayout, guard_reach_m: float | None, load_reach: float, units: UnitSet
) -> Facts:
    """Facts of one wall: loads for an engineer, the slope that counts, what is near, and where
    people walk.

    `guard_reach_m` is how near the top of a wall people must walk for a guard to be asked for;
    loads nearer than `load_reach` wall heights count.
    """
    spec, height = layout.spec, layout.max_wall_height_m
    return {
        "engineer_load": _engineer_load(spec, height, load_reach, units),
        "back_slope": Fact(value=back_slope_at(spec, height, load_reach)),
        "load_not_stated": Fact(value=float(not states_load(spec))),
        **_near_facts(spec, units),
        **_drop_at_walkway(layout, guard_reach_m, units),
    }


def above_fact(layout: WallLayout, load_reach: float, slope_over: float, units: UnitSet) -> Facts:
    """Whether a load, or ground that rises more than `slope_over`, begins nearer than `load_reach`
    wall heights (rule 22.11)."""
    spec, height = layout.spec, layout.max_wall_height_m
    counted = [
        _words(load, units) for load in counted_above(spec, height, load_reach) if load.load_pa > 0
    ]
    if spec.surcharge_pa > 0:
        counted.append("the stated surcharge")
    if rise := rise_behind(layout, load_reach * height - CLOSE_M, slope_over):
        from_m, slope = rise
        counted.append(
            f"ground that rises {number(1 / slope, _SLOPE_DIGITS)}:1 from "
            f"{units.show(from_m, 'length')} behind the face"
        )
    words = f"What counts: {'; '.join(counted)}." if counted else ""
    return {"load_or_slope_above": Fact(value=float(bool(counted)), words=words)}


def unbalanced_facts(layout: WallLayout, above: Facts, presumed: str, units: UnitSet) -> Facts:
    """How much higher finished ground stands behind a wall than in front, and the same where a
    load or a slope above counts too (`above`); `presumed` says what the code presumes of the
    soil."""
    places = [p for s in layout.stretches for p in (s.interval.start, s.interval.finish)]
    higher_m = max(place.back_m - place.front_m for place in places)
    higher = units.show(higher_m, "length")
    words = f"The ground behind is {higher} higher than in front. {presumed}".rstrip()
    fact = Fact(value=higher_m, words=words)
    loaded = above["load_or_slope_above"].value > 0
    return {"unbalanced_fill": fact, **({"unbalanced_fill_loaded": fact} if loaded else {})}


def _engineer_load(spec: WallSpec, height_m: float, reach: float, units: UnitSet) -> Fact:
    """The stated surcharge; a load near the wall that is a case for an engineer outweighs any."""
    near = [load for load in counted_above(spec, height_m, reach) if load.engineer]
    if not near:
        return Fact(value=spec.surcharge_pa)
    return Fact(value=math.inf, words=f"Here: {'; '.join(_words(load, units) for load in near)}.")


def _near_facts(spec: WallSpec, units: UnitSet) -> dict[Trigger, Fact]:
    """The nearest load of each word, however far it is: a place says what is near."""
    facts: dict[Trigger, Fact] = {}
    for word, trigger in _NEAR_TRIGGER.items():
        loads = [load for load in spec.above if word in load.near]
        if loads:
            nearest = min(loads, key=lambda load: load.from_m)
            facts[trigger] = Fact(value=nearest.from_m, words=f"{_words(nearest, units)}.")
    return facts


def _drop_at_walkway(
    layout: WallLayout, reach_m: float | None, units: UnitSet
) -> dict[Trigger, Fact]:
    """The drop over a wall where people walk or drive within reach of its top."""
    walked = [
        load
        for load in layout.spec.above
        if _WALKWAY in load.near and reach_m is not None and load.from_m <= reach_m + CLOSE_M
    ]
    if not walked:
        return {}
    nearest = min(walked, key=lambda load: load.from_m)
    drop = units.show(layout.max_exposed_m, "length")
    words = f"{_words(nearest, units)}; the drop is {drop}."
    return {"drop_at_walkway": Fact(value=layout.max_exposed_m, words=words)}


def _words(load: LoadAbove, units: UnitSet) -> str:
    return f"{load.title}, {units.show(load.from_m, 'length')} behind the face"
