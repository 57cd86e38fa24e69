"""What was seen and said of water and site, as facts that cautions hang on.

Every fact raises its caution where the place has a rule for it (catalog/jurisdictions/); what it
costs stands in the terms (allowances.py). None of this is a design.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import get_args

from service.core.closed_list import row_each
from service.core.job.access import Access
from service.core.job.fact import Fact, Facts
from service.core.job.jurisdiction import Trigger
from service.core.job.section import Section
from service.core.job.site import Outlet, Site, SiteSeen, Tree, Water, WaterSeen
from service.core.layout.layout import WallLayout
from service.core.measure import UnitSet, number

_OUTLET_TRIGGER: Mapping[Outlet, Trigger] = row_each(
    get_args(Outlet),
    {
        "through_face": "outlet_through_face",
        "around_end": "outlet_around_end",
        "daylight": "outlet_daylight",
        "storm_drain": "outlet_storm_drain",
        "pit": "outlet_pit",
        "none": "outlet_none",
    },
)
_SEEN_TRIGGER: Mapping[WaterSeen | SiteSeen, Trigger] = row_each(
    (*get_args(WaterSeen), *get_args(SiteSeen)),
    {
        "standing_water": "seen_standing_water",
        "wet_ground": "seen_wet_ground",
        "runoff": "seen_runoff",
        "washout": "seen_washout",
        "crack": "seen_crack",
        "lean": "seen_lean",
        "spring": "seen_spring",
        "slide": "seen_slide",
        "fill": "seen_fill",
        "rock": "seen_rock",
        "stumps": "seen_stumps",
        "old_wall": "seen_old_wall",
    },
)
_HELD = Fact(value=1.0)


def water_facts(water: Water | None, section: Section, units: UnitSet) -> Facts:
    """Facts of the whole job about water. Without `water` the outlet of a section with a drain
    pipe counts as not stated."""
    water = water or Water()
    if water.outlet is None:
        outlet: dict[Trigger, Fact] = (
            {"outlet_not_stated": _HELD} if section.pipe is not None else {}
        )
    else:
        outlet = {_OUTLET_TRIGGER[water.outlet]: Fact(value=1.0, words=_run_words(water, units))}
    return {
        **outlet,
        **_stated_fall(water, units),
        "downspouts_above": Fact(
            value=float(water.downspouts_above), words=f"Downspouts: {water.downspouts_above}."
        ),
        **_seen_facts(water.seen),
    }


def pipe_facts(water: Water | None, layout: WallLayout, section: Section, units: UnitSet) -> Facts:
    """Facts of one wall: its drain pipe against the level of the outlet.

    The pipe lies on the pad, at the underside of the lowest course. An outlet through the face
    whose level isn't given shows at the lowest ground in front, if it shows at all.
    """
    if water is None or section.pipe is None or water.outlet in (None, "none"):
        return {}
    outlet, what = water.outlet_level_m, "the outlet"
    if outlet is None and water.outlet == "through_face" and water.drop_m is None:
        places = [p for s in layout.stretches for p in (s.interval.start, s.interval.finish)]
        outlet, what = min(place.front_m for place in places), "the ground in front"
    if outlet is None:
        return {}
    drop = layout.courses[0].elevation_m - outlet
    fall = None if water.run_m is None else drop / water.run_m
    return _fall_facts(drop, fall, what, units)


def street_fact(site: Site | None, access: Access | None) -> Facts:
    """The street is used: somebody said so, or the truck drops its load there."""
    drops = access is not None and access.drop == "street"
    words = "The truck drops its load there." if drops else ""
    return {"street_used": Fact(value=float(drops or bool(site and site.street_used)), words=words)}


def site_facts(site: Site | None, layouts: Sequence[WallLayout], units: UnitSet) -> Facts:
    """Facts of the whole job about the site."""
    if site is None:
        return {}
    lines = ", ".join(line.replace("_", " ") for line in site.private_lines)
    return {
        **_line_facts(site, layouts, units),
        "easement": Fact(value=float(site.easement)),
        "power_lines": Fact(value=float(site.power_lines), words=_power_words(site, units)),
        "private_lines": Fact(value=float(len(site.private_lines)), words=f"Said of: {lines}."),
        **_tree_facts(site, units),
        **_seen_facts(site.seen),
    }


def _seen_facts(seen: Sequence[WaterSeen | SiteSeen]) -> dict[Trigger, Fact]:
    return {_SEEN_TRIGGER[word]: _HELD for word in seen}


def _run_words(water: Water, units: UnitSet) -> str:
    return "" if water.run_m is None else f"Outlet run {units.show(water.run_m, 'length')}."


def _stated_fall(water: Water, units: UnitSet) -> dict[Trigger, Fact]:
    """The fall as the caller gives it, where there is an outlet at all."""
    if water.outlet == "none":
        return {}
    return _fall_facts(water.drop_m, water.fall, "the outlet", units)


def _fall_facts(
    drop_m: float | None, fall: float | None, what: str, units: UnitSet
) -> dict[Trigger, Fact]:
    """A pipe below its outlet, or else one whose run falls by so much."""
    facts: dict[Trigger, Fact] = {}
    if drop_m is not None:
        lower = f"The pipe lies {units.show(-drop_m, 'length')} below {what}."
        facts["pipe_below_outlet"] = Fact(value=-drop_m, words=lower)
    if fall is not None and fall >= 0:
        facts["outlet_fall"] = Fact(value=fall, words=f"It falls by {number(fall * 100, 6)} %.")
    return facts


def _line_facts(site: Site, layouts: Sequence[WallLayout], units: UnitSet) -> dict[Trigger, Fact]:
    """The property line: how far it is, and whether a wall is higher than that."""
    distance = site.line_distance_m
    if distance is None:
        return {}
    highest = max(layout.max_wall_height_m for layout in layouts)
    near, high = units.show(distance, "length"), units.show(highest, "length")
    return {
        "line_distance": Fact(value=distance, words=f"The line is {near} away."),
        "line_within_height": Fact(
            value=float(distance < highest),
            words=f"The line is {near} away, the highest wall {high} high.",
        ),
    }


def _power_words(site: Site, units: UnitSet) -> str:
    if site.power_line_m is None:
        return ""
    return f"They are {units.show(site.power_line_m, 'length')} away."


def _tree_facts(site: Site, units: UnitSet) -> dict[Trigger, Fact]:
    """The nearest tree, and all of them in words."""
    if not site.trees:
        return {}
    words = " ".join(_tree_words(tree, units) for tree in site.trees)
    return {"tree_distance": Fact(value=min(t.distance_m for t in site.trees), words=words)}


def _tree_words(tree: Tree, units: UnitSet) -> str:
    away = units.show(tree.distance_m, "length")
    if tree.trunk_m is None:
        return f"A tree stands {away} away."
    trunk = units.show(tree.trunk_m, "length", units.small_length)
    return f"A tree of {trunk} stands {away} away."
