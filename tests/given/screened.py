"""Walls of the constructed sets as a caller asks for them, and a second method.

The sets (tests/reference/gravity.toml: stacks, tests/reference/reinforced_soil.toml: layers) stack
units of 8 x 12 in at 120 lb/ft3 without embedment on soil of 120 lb/ft3. The section here buries
nothing and the system has no cap, so a wall of n courses holds exactly n x 8 in of soil where its
top and back grade are asked for there.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from service.catalog import Catalog, load_catalog
from tests.given.catalog_files import write_folder
from tests.given.quote_requests import Json, straight

SYSTEM = """\
id = "{id}"
version = "1"
title = "Proof stack"
[source]
kind = "invented"
[units.standard]
item = "block"
face_length = "18 in"
height = "8 in"
depth = "12 in"
[stacking]
setback = "{setback}"
{more}
"""
CAP_UNIT = """\
[units.cap]
item = "cap"
face_length = "18 in"
height = "4 in"
depth = "12 in"
"""
IN_PLACE = '[in_place]\nunit_weight = "120 pcf"\n'
WEIGHTED_CAP = CAP_UNIT + 'weight = "60 lb"\noverhang = "1 in"\n'
INTERFACE = '[interface]\nstrength = "800 lb/ft"\nfriction_angle = "30 deg"\nmost = "3000 lb/ft"\n'
SECTION = """\
id = "{id}"
version = "1"
title = "Proof section"
[source]
kind = "invented"
[leveling_pad]
item = "pad_stone"
thickness = "6 in"
front_extension = "6 in"
rear_extension = "6 in"
{pad}
[embedment]
minimum = "{buried}"
share_of_exposed = "0"
[embedment.share_by_front_slope]
"1:1" = "0"
[drainage]
item = "gravel"
width = "12 in"
starts_at = "pad"
stops_below_top = "0 in"
[excavation]
working_room = "0 in"
cut_slope = "1:1"
{more}
"""
SOIL = """\
id = "{id}"
version = "1"
title = "Proof soil"
[source]
kind = "invented"
[strength]
friction_angle = "{friction} deg"
cohesion = "0 psf"
[weight]
bank = "108 pcf"
loose = "86.4 pcf"
compacted = "120 pcf"
[volume]
swell = "0.25"
shrink = "0.10"
[excavation]
class = "C"
reusable = true
"""
GRID = """\
id = "{id}"
version = "1"
title = "Proof grid"
group = "reinforcement"
[source]
kind = "invented"
[sold]
per = "pack"
pack = "900 ft2"
pack_word = "roll"
[reinforcement]
ultimate_strength = "3500 lb/ft"
roll_width = "6 ft"
roll_length = "150 ft"
{more}
"""
FACTORS = 'creep_factor = "1.6"\ndurability_factor = "1.10"\ndamage_factor = "1.10"\n'
HOLD = 'interaction = "0.7"\n'
CONNECTION = """\
[[reinforcement.connection]]
wall_system = "one"
strength = "1000 lb/ft"
friction_angle = "35 deg"
most = "3000 lb/ft"
"""
LAID = '[reinforcement]\nitem = "{}"\n'
FRICTIONS = (20, 26, 28, 30, 32, 34, 36)
FILES = {
    # setback 3/4 in and 1 in; without in-place weight; with shear data
    "wall_systems/three_quarter.toml": SYSTEM.format(
        id="three_quarter", setback="3/4 in", more=IN_PLACE
    ),
    "wall_systems/one.toml": SYSTEM.format(id="one", setback="1 in", more=IN_PLACE),
    "wall_systems/bare.toml": SYSTEM.format(id="bare", setback="3/4 in", more=""),
    "wall_systems/sheared.toml": SYSTEM.format(
        id="sheared", setback="3/4 in", more=IN_PLACE + INTERFACE
    ),
    "wall_systems/capped.toml": SYSTEM.format(
        id="capped", setback="3/4 in", more=IN_PLACE + CAP_UNIT
    ),
    "wall_systems/weighted.toml": SYSTEM.format(
        id="weighted", setback="3/4 in", more=IN_PLACE + WEIGHTED_CAP
    ),
    "sections/flat.toml": SECTION.format(
        id="flat", buried="0 in", pad="", more=LAID.format("grid")
    ),
    **{
        f"sections/{name}.toml": SECTION.format(
            id=name, buried="0 in", pad="", more=LAID.format("grid")
        ).replace('cut_slope = "1:1"', f'cut_slope = "{run}:1"')
        for name, run in (("steep_cut", "1/4"), ("flat_cut", "1.5"))
    },
    "sections/weak_pad.toml": SECTION.format(
        id="weak_pad", buried="0 in", pad='friction_angle = "25 deg"', more=""
    ),
    "sections/strong_pad.toml": SECTION.format(
        id="strong_pad", buried="0 in", pad='friction_angle = "40 deg"', more=""
    ),
    "sections/bare_grid.toml": SECTION.format(
        id="bare_grid", buried="0 in", pad="", more=LAID.format("bare_grid")
    ),
    "sections/tested.toml": SECTION.format(
        id="tested", buried="0 in", pad="", more=LAID.format("tested_grid")
    ),
    **{
        f"sections/{name}_buried.toml": SECTION.format(
            id=f"{name}_buried", buried=f"{8 * count} in", pad="", more=LAID.format("grid")
        )
        for count, name in enumerate(("one", "two", "three"), 1)
    },
    "materials/grid.toml": GRID.format(id="grid", more=FACTORS + HOLD),
    "materials/bare_grid.toml": GRID.format(id="bare_grid", more=""),
    "materials/tested_grid.toml": GRID.format(id="tested_grid", more=FACTORS + HOLD + CONNECTION),
    **{
        f"soils/phi{angle}.toml": SOIL.format(id=f"phi{angle}", friction=angle)
        for angle in FRICTIONS
    },
}
PRICES: Json = {
    "currency": "USD",
    "items": {
        "block": {"unit_cost": "2.00", "per": "each"},
        "cap": {"unit_cost": "1.00", "per": "each"},
        "haul_off": {"unit_cost": "20.00", "per": "yd3"},
        "import_fill": {"unit_cost": "25.00", "per": "yd3"},
        "pad_stone": {"unit_cost": "30.00", "per": "yd3"},
        "gravel": {"unit_cost": "40.00", "per": "yd3"},
        "grid": {"unit_cost": "385.00", "per": "pack"},
        "bare_grid": {"unit_cost": "385.00", "per": "pack"},
        "tested_grid": {"unit_cost": "385.00", "per": "pack"},
    },
}
STATED: Json = {"front_slope": "level", "back_slope": "level", "surcharge": "0 psf"}
"""What a check of a plain wall rests on, said by the caller."""


@cache
def sets_catalog() -> Catalog:
    """The shipped catalog and the files here; for properties, whose arguments are printed."""
    with TemporaryDirectory() as folder:
        return load_catalog([write_folder(Path(folder), FILES)])


def set_wall(height: str, *, length: str = "40 ft", **more: object) -> Json:
    """A straight wall of one height, its base at the front grade and its top at the back grade."""
    entries = [
        {"station": station, "top": height, "front_grade": "0 ft", "back_grade": height}
        for station in ("0 ft", "end")
    ]
    return {"plan": [straight(length)], "profile": entries, **STATED, **more}


def without(wall: Json, *keys: str) -> Json:
    """The wall with some keys left to the service."""
    return {key: value for key, value in wall.items() if key not in keys}


def set_request(*walls: Json, **more: object) -> Json:
    """A request of the sets: 3/4 in setback, friction 30 deg all round, water let out."""
    return {
        "units": "us",
        "wall_system": "three_quarter",
        "section": "flat",
        "soils": {"retained": "phi30", "foundation": "phi30", "fill": "phi30"},
        "walls": list(walls),
        "prices": PRICES,
        "water": {"outlet": "daylight"},
        **more,
    }


def check_of(
    answer: Json, check: str, wall: str = "wall-1", *, among: list[Json] | None = None
) -> Json:
    """The one entry of a check at a wall."""
    (found,) = (
        entry
        for entry in (answer["checks"] if among is None else among)
        if entry["check"] == check and entry["wall"] == wall
    )
    return dict(found)


def value_of(answer: Json, check: str, wall: str = "wall-1") -> float:
    """The figure of a check."""
    return float(check_of(answer, check, wall)["value"])
