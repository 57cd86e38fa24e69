"""A wall before a lawn, what would pass in its place, and the request with a patch applied."""

from __future__ import annotations

import math
import tomllib
from copy import deepcopy
from pathlib import Path
from typing import Any

from tests.given.quote_requests import Json, level_wall, shipped_request

PRICE_LIST = Path(__file__).parents[2] / "catalog" / "price_lists" / "demo_2026.toml"
LAWN: Json = {"above": [{"what": "lawn", "from": "0 ft"}]}
FLAT: Json = {"front_slope": "level", "back_slope": "level", "existing_slope": "4:1"}


def lawn_request(
    soil: str = "loam", exposed: str = "3 ft", system: str = "terrace_8in", **more: object
) -> Json:
    """40 ft of wall before a lawn, cut into a 4:1 bank; clay doesn't go back, loam does."""
    wall = level_wall(exposed=exposed, **LAWN, **FLAT)
    for entry in wall["profile"]:
        entry["existing_grade"] = "0 ft"
    fill = "loam" if soil == "clay" else soil
    asked: Json = {
        "wall_system": system,
        "soils": {"retained": soil, "foundation": soil, "fill": fill},
        "water": {"outlet": "daylight"},
        "rates": "small_crew",
        "terms": "standard",
        "what_if": True,
    }
    return shipped_request(wall, **(asked | more))


def patched(request: Json, steps: list[Json]) -> Json:
    """The request with a patch of RFC 6902 that only adds: the last name of a path is put into
    what the others lead to, which has to be there."""
    document = deepcopy(request)
    for step in steps:
        assert step["op"] == "add"
        *parents, last = step["path"].removeprefix("/").split("/")
        place: Any = document
        for name in parents:
            place = place[int(name)] if isinstance(place, list) else place[name]
        place[last] = step["value"]
    return document


def soil_below_cap(request: Json) -> Json:
    """The walls of a request with their soil at the underside of the cap: courses are laid from
    the top down, so the exposed height less the 4 in of the cap, down to 0.01 ft."""
    (wall,) = request["walls"]
    exposed = float(wall["profile"][0]["exposed"].removesuffix(" ft"))
    level = math.floor((exposed - 1 / 3) * 100) / 100
    profile = [{**entry, "back_grade": f"{level} ft"} for entry in wall["profile"]]
    return {"walls": [{**wall, "profile": profile}]}


def listed_prices(without: str) -> Json:
    """The shipped prices, inline, without an item."""
    listed = tomllib.loads(PRICE_LIST.read_text("utf-8"))["items"]
    kept = ("unit_cost", "wage", "per", "supplier")
    items = {
        item: {key: price[key] for key in kept if key in price}
        for item, price in listed.items()
        if item != without
    }
    return {"currency": "USD", "items": items}


def failed(answer: Json) -> list[str]:
    """Names of the checks that fail."""
    return [check["check"] for check in answer["checks"] if check["status"] == "fail"]


def found(answer: Json, key: str = "would_pass") -> dict[str, Json]:
    """Alternatives of an answer by their changes."""
    return {"+".join(each["changes"]): each for each in answer["screening"].get(key, ())}
