"""The defaults that an answer rests on, as assumptions with the pointer of their field."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from service.core.job.fact import Assumption
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.quoting.wall_request import WallRequest

_WALL_DEFAULTS = (
    ("level_from", "top", "the highest finished top is met exactly"),
    ("top_rounding", "up", "the wall is built to the first joint at or above the requested top"),
    ("front_slope", "level", "no slope in front was given"),
    ("back_slope", "level", "no slope behind was given"),
    ("surcharge", "0", "no load on the ground behind was given"),
)
_TERMS_DEFAULTS = ("overhead", "contingency", "profit", "discount", "deposit")


def request_assumptions(
    request: QuoteRequest, terms_keys: Collection[str] | None
) -> tuple[Assumption, ...]:
    """Every default a request left to the service; `terms_keys` are the keys its terms give."""
    return (
        *_root(request),
        *(assumption for i, wall in enumerate(request.walls) for assumption in _wall(i, wall)),
        *(
            assumption
            for i, area in enumerate(request.grading)
            for assumption in area.assumptions(i)
        ),
        *_terms(terms_keys),
    )


def _root(request: QuoteRequest) -> Iterator[Assumption]:
    if "jurisdiction" not in request.model_fields_set:
        why = "no place was named; local code comes first"
        yield Assumption(field="/jurisdiction", value="plain", why=why)
    if "basis" not in request.screening.model_fields_set:
        why = "no rule book for the checks was named"
        yield Assumption(field="/screening/basis", value=request.screening.basis, why=why)
    for place in ("foundation", "fill"):
        if request.soils.retained and getattr(request.soils, place) is None:
            why = "taken to be the soil behind the wall"
            yield Assumption(field=f"/soils/{place}", value=request.soils.retained, why=why)
    if "levels_are" not in request.model_fields_set:
        why = "levels are read as elevations: larger is higher"
        yield Assumption(field="/levels_are", value="elevation", why=why)


def _wall(index: int, wall: WallRequest) -> Iterator[Assumption]:
    for key, value, why in _WALL_DEFAULTS:
        if key not in wall.model_fields_set and not (key == "surcharge" and wall.above):
            yield Assumption(field=f"/walls/{index}/{key}", value=value, why=why)
    for i, load in enumerate(wall.above or ()):
        if "from_" not in load.model_fields_set:
            why = f"how far behind the wall the {load.what} begins was not given"
            yield Assumption(field=f"/walls/{index}/above/{i}/from", value="0", why=why)
    for end in ("start", "finish"):
        if end not in wall.ends.model_fields_set:
            why = "how the wall ends here was not given"
            yield Assumption(field=f"/walls/{index}/ends/{end}", value="open", why=why)
    if any(entry.back_grade is None for entry in wall.profile):
        why = "ground behind meets the top of the wall where back_grade is left out"
        yield Assumption(field=f"/walls/{index}/profile/back_grade", value="top", why=why)


def _terms(given: Collection[str] | None) -> Iterator[Assumption]:
    if given is None:
        return
    for key in _TERMS_DEFAULTS:
        if key not in given:
            yield Assumption(field=f"/terms/{key}", value="0", why="the terms don't give it")
    if "tax" not in given:
        yield Assumption(field="/terms/tax/rate", value="0", why="the terms give no tax")
    elif "tax/base" not in given:
        why = "tax is taken on the price of the taxable lines"
        yield Assumption(field="/terms/tax/base", value="price", why=why)
