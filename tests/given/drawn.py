"""Walls to draw, and drawings as they can be looked at: texts, paths, sizes."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any
from xml.etree import ElementTree as ET

from service.catalog import Catalog
from service.core.quote import Quote
from service.documents.drawings import (
    Drawing,
    Writing,
    draw_earthwork_map,
    draw_elevation,
    draw_order_of_work,
    draw_plan,
    draw_section,
)
from service.documents.tree import Language
from service.documents.words import words_of
from service.operations.paper.written import detail, length
from service.operations.quoting.measures import measure_of
from service.operations.quoting.quote import prepare_document
from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json, level_wall, shipped_request, straight

DRAW: Mapping[str, Callable[[Quote, Writing, str | None], Drawing | None]] = {
    "plan": draw_plan,
    "elevation": draw_elevation,
    "section": draw_section,
    "earthwork_map": draw_earthwork_map,
    "order_of_work": draw_order_of_work,
}
SVG = "{http://www.w3.org/2000/svg}"


def corner(degrees: int, side: str = "outside") -> Json:
    """A corner of the plan."""
    return {"kind": "corner", "side": side, "angle": f"{degrees} deg"}


def curve(side: str, radius: str = "15 ft", angle: str = "60 deg") -> Json:
    """A curve of the plan."""
    return {"kind": "curve", "side": side, "radius": radius, "angle": angle}


def legs(*degrees: int, long: str = "12 ft", side: str = "outside") -> list[Json]:
    """Straights with corners between them."""
    parts = [straight(long)]
    for angle in degrees:
        parts += [corner(angle, side), straight(long)]
    return parts


_GRADED = {"graded_in_front": "5 ft", "graded_behind": "6 ft"}


def _stepped() -> Json:
    tops = (("0 ft", "3 ft"), ("16 ft", "3 ft"), ("16 ft", "5 ft"), ("end", "5 ft"))
    profile = [{"station": at, "top": top, "front_grade": "0 ft"} for at, top in tops]
    return {"plan": [straight("32 ft")], "profile": profile}


def _falling() -> Json:
    ends = (("0 ft", "0 ft", "0 ft"), ("end", "-5 ft", "-4 ft"))
    return {
        **_GRADED,
        "plan": [straight("48 ft")],
        "profile": [
            {"station": at, "top": "4 ft", "front_grade": front, "existing_grade": ground}
            for at, front, ground in ends
        ],
    }


def _long() -> Json:
    """300 ft with 200 stations, ground and top up and down."""
    step = 300 / 199
    profile = [
        {
            "station": f"{index * step:.3f} ft" if index < 199 else "end",
            "top": f"{4 + (index % 7) / 5:.2f} ft",
            "front_grade": f"{(index % 11) / 20:.2f} ft",
            "existing_grade": f"{1 + (index % 5) / 10:.2f} ft",
        }
        for index in range(200)
    ]
    return {**_GRADED, "plan": [straight("300 ft")], "profile": profile}


def _ground(wall: Json) -> Json:
    """A wall with existing ground."""
    first, *rest = wall["profile"]
    return {**wall, **_GRADED, "profile": [{**first, "existing_grade": "1 ft"}, *rest]}


_ENDS = {"start": "into_grade", "finish": "finished"}
WALLS: Mapping[str, Json] = {
    "straight": _ground(level_wall("40 ft", ends=_ENDS)),
    "stepped": _stepped(),
    "falling": _falling(),
    "outside curve": _ground(
        level_wall(plan=[straight("8 ft"), curve("outside"), straight("8 ft")])
    ),
    "inside curve": _ground(level_wall(plan=[straight("8 ft"), curve("inside"), straight("8 ft")])),
    "s curve": _ground(level_wall(plan=[curve("outside"), curve("inside")])),
    "corner 60": level_wall(plan=legs(60)),
    "corner 90": _ground(level_wall(plan=legs(90))),
    "corner 120": level_wall(plan=legs(120, side="inside")),
    "u": level_wall(plan=legs(90, 90), exposed="3 ft"),
    "one unit": level_wall("16 in", "2 ft"),
    "long": _long(),
}


def requested(wall: Json, **more: object) -> Json:
    """A request with everything that can be drawn."""
    said = {
        "soils": {"retained": "silty_sand"},
        "jurisdiction": "strict_example",
        "rates": "small_crew",
        "terms": "standard",
    }
    return shipped_request({"name": "wall", **wall}, **{**said, **more})


def tiers() -> Json:
    """Two tiers with layers of reinforcement, a drive above."""
    lower = level_wall("30 ft", "3 ft", name="lower", surcharge="0 psf")
    entries = [
        {"station": at, "top": "6 ft", "front_grade": "3 ft", "back_grade": "6 ft"}
        for at in ("0 ft", "end")
    ]
    above = [{"what": "driveway", "from": "3 ft"}]
    upper = {"name": "upper", "plan": [straight("30 ft")], "profile": entries, "above": above}
    return shipped_request(
        lower,
        upper,
        soils={"retained": "silty_sand"},
        jurisdiction="strict_example",
        tiers=[{"lower": "lower", "upper": "upper", "offset": "5 ft"}],
        screening={"basis": "fhwa", "reinforcement": "all"},
    )


def quote_of(request: Json, catalog: Catalog | None = None) -> Quote:
    """What the core found for a request."""
    return prepare_document(request, catalog or shipped_catalog()).run().quote


@cache
def named_quote(name: str) -> Quote:
    """The quote of one of the walls, or of the two tiers."""
    return quote_of(tiers() if name == "tiers" else requested(WALLS[name]))


NAMES = (*WALLS, "tiers")


def writing_of(quote: Quote, language: Language = "en") -> Writing:
    """Words and measures of a language in the quote's units."""
    units, words = quote.job.units, words_of(language, quote.job.units.name)

    def measured(meters: float) -> Any:  # noqa: ANN401
        return measure_of(meters, "length", units)

    return Writing(
        words=words,
        length=lambda meters: length(measured(meters), words),
        detail=lambda meters: detail(measured(meters), words),
        level=lambda meters: length(measured(meters), words),
        units=units.name,
    )


def drawn(quote: Quote, kind: str, wall: str | None = None) -> Drawing | None:
    """One drawing in English."""
    return DRAW[kind](quote, writing_of(quote), wall)


def all_drawn(quote: Quote) -> dict[str, Drawing]:
    """Every drawing that shows something; elevation and section of each wall."""
    names: list[str | None] = [layout.name for layout in quote.layouts]
    found: dict[str, Drawing] = {}
    for kind in DRAW:
        for name in names if kind in ("elevation", "section") else [None]:
            if drawing := drawn(quote, kind, name):
                found[f"{kind} {name}"] = drawing
    return found


def texts_of(drawing: Drawing) -> list[str]:
    """Every text that is seen, in order."""
    root = ET.fromstring(drawing.svg)  # noqa: S314  made by the code under test
    return [element.text or "" for element in root.iter(f"{SVG}text")]


def paths_of(drawing: Drawing) -> list[list[list[tuple[float, float]]]]:
    """Every path as strokes of points."""
    root = ET.fromstring(drawing.svg)  # noqa: S314  made by the code under test
    found = []
    for element in root.iter(f"{SVG}path"):
        strokes = element.get("d", "").split("M")[1:]
        if re.fullmatch(r"[ML0-9. Z-]*", element.get("d", "")):
            found.append([_points(stroke) for stroke in strokes])
    return found


def _points(stroke: str) -> list[tuple[float, float]]:
    pairs = (pair.split() for pair in stroke.rstrip("Z").split("L"))
    return [(float(x), float(y)) for x, y in pairs]
