"""From what a visitor answered to a quote request: a wall through the bank of today."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any, Final

from service.catalog.documents.website import Website
from service.catalog.documents.website_choice import Measure, Task
from service.core.measure import number
from service.fields import Measured
from service.fields.measured import SlopeText
from service.operations.callers.website.answers import Answered

WALL_NAME: Final = "wall"
LEVEL: Final = "level"
Json = dict[str, Any]
_LENGTH: Final = Measured("length")
_SLOPE: Final = SlopeText()


def quote_of(site: Website, answered: Answered) -> Json:
    """The quote request that the answers stand for."""
    request = copy.deepcopy(dict(site.quote))
    for choice in answered.chosen.values():
        _merge(request, choice.quote)
    tasks = [_task(task, site, answered) for task in _tasks(answered)]
    if tasks:
        request["site_work"] = [*request.get("site_work", ()), *tasks]
    request["walls"] = [_wall(site, answered)]
    return request


def _wall(site: Website, answered: Answered) -> Json:
    """One wall, of one height all along, at the front grade 0."""
    wall: Json = {"name": WALL_NAME, **copy.deepcopy(dict(site.wall))}
    for choice in answered.chosen.values():
        _merge(wall, choice.wall)
    section = _bank(site, answered, wall)
    wall.pop("existing_slope", None)
    level = {
        "front_grade": f"0 {site.height.unit}",
        "exposed": _written(answered.height, site.height.unit),
        "existing_section": section,
    }
    return {
        **wall,
        "plan": _plan(site, answered),
        "profile": [{"station": f"0 {site.length.unit}", **level}, {"station": "end", **level}],
    }


def _plan(site: Website, answered: Answered) -> list[Json]:
    """A straight line; a curve of the whole length; or a corner in the middle."""
    unit, bend = site.length.unit, answered.chosen["line"].bend
    if bend is None:
        return [{"kind": "straight", "length": _written(answered.length, unit)}]
    if bend.get("kind") == "curve":
        return [{**bend, "length": _written(answered.length, unit)}]
    leg = {"kind": "straight", "length": _written(answered.length / 2, unit)}
    return [leg, dict(bend), leg]


def _bank(site: Website, answered: Answered, wall: Mapping[str, Any]) -> list[Json]:
    """Ground of today across the wall, in m: from its reach in front over foot and top of the
    bank to its reach behind. In front it falls as the finished ground does, behind it rises at
    the wall's `existing_slope`; without one as the finished ground does."""
    ground, high = site.ground, _meters(answered.height, site.height.unit)
    foot = -high * float(ground.share) / ground.bank
    top = foot + high / ground.bank
    falls, rises = _slope(wall, "front_slope"), _slope(wall, "existing_slope", "back_slope")
    points = (
        (foot - ground.reach_m, falls * (foot - ground.reach_m)),
        (foot, falls * foot),
        (top, high + rises * top),
        (top + ground.reach_m, high + rises * (top + ground.reach_m)),
    )
    return [{"offset": f"{number(x)} m", "elevation": f"{number(z)} m"} for x, z in points]


def _slope(wall: Mapping[str, Any], *keys: str) -> float:
    """The first of these slopes that is stated, rise over run; else level."""
    return _SLOPE.read(next((wall[key] for key in keys if key in wall), LEVEL))


def _tasks(answered: Answered) -> Iterator[Task]:
    for choice in answered.chosen.values():
        yield from choice.tasks


def _task(task: Task, site: Website, answered: Answered) -> Json:
    """A task with its quantity, measured by the wall as it was answered."""
    quantity = _quantity(task.by, site, answered)
    return {"task": task.task, **({"quantity": quantity} if quantity else {})}


def _quantity(by: Measure, site: Website, answered: Answered) -> str | None:
    match by:
        case "length":
            return _written(answered.length, site.length.unit)
        case "face":
            long = _meters(answered.length, site.length.unit)
            return f"{number(long * _meters(answered.height, site.height.unit))} m2"
        case "once":
            return None


def _meters(value: Decimal, unit: str) -> float:
    return _LENGTH.read(_written(value, unit))


def _written(value: Decimal, unit: str) -> str:
    return f"{number(value)} {unit}"


def _merge(target: Json, part: Mapping[str, Any]) -> None:
    """Put the keys of a part into a table; tables in both are put together."""
    for key, value in part.items():
        there = target.get(key)
        if isinstance(there, dict) and isinstance(value, Mapping):
            _merge(there, value)
        else:
            target[key] = copy.deepcopy(value)
