"""Catalog files for outside figures that go through a quote: units, sections and soils in the
sizes and states that the figures are for. Lengths are texts as a file has them.
"""

from __future__ import annotations

from tests.given.quote_requests import Json

UNIT = """\
id = "{id}"
version = "1"
title = "Unit of a constructed set"
[source]
kind = "invented"
[units.standard]
item = "block"
face_length = "18 in"
height = "{height}"
depth = "12 in"
weight = "{weight}"
void_volume = "{void} ft3"
[stacking]
setback = "{setback}"
[in_place]
unit_weight = "120 pcf"
"""
SECTION = """\
id = "{id}"
version = "1"
title = "Section of a constructed set"
[source]
kind = "invented"
[leveling_pad]
item = "pad_stone"
thickness = "{pad}"
front_extension = "{front}"
rear_extension = "{rear}"
end_extension = "{ends}"
[embedment]
minimum = "{burial}"
share_of_exposed = "0"
[drainage]
item = "ref_stone"
width = "12 in"
starts_at = "pad"
stops_below_top = "0 in"
[core_fill]
item = "core_stone"
[filter_fabric]
item = "fabric"
lap = "12 in"
[waste]
units = "0.05"
[excavation]
working_room = "0 in"
{slope}
"""
STONE = """\
id = "ref_stone"
version = "1"
title = "Stone of 1.35 ton a cubic yard as it is measured"
group = "stone"
[source]
kind = "invented"
[weight]
loose = "2700 lb/yd3"
[sold]
per = "ton"
increment = "0.01 ton"
"""
SOIL = """\
id = "{id}"
version = "1"
title = "Soil of an outside example"
[source]
kind = "invented"
[strength]
friction_angle = "{friction} deg"
cohesion = "0 psf"
[weight]
bank = "{bank} pcf"
loose = "{loose} pcf"
compacted = "{compacted} pcf"
[volume]
swell = "{swell}"
shrink = "{shrink}"
[excavation]
class = "{class_}"
reusable = true
"""
PRICES: Json = {
    "currency": "USD",
    "items": {
        "block": {"unit_cost": "2.00", "per": "each"},
        "pad_stone": {"unit_cost": "30.00", "per": "yd3"},
        "ref_stone": {"unit_cost": "40.00", "per": "ton"},
        "core_stone": {"unit_cost": "40.00", "per": "yd3"},
        "fabric": {"unit_cost": "0.20", "per": "ft2"},
        "haul_off": {"unit_cost": "20.00", "per": "yd3"},
        "import_fill": {"unit_cost": "25.00", "per": "yd3"},
        "hand": {"unit_cost": "30.00", "per": "h"},
    },
}


def unit_file(
    name: str,
    setback: str,
    height: str = "8 in",
    *,
    weight: str = "100 lb",
    void_ft3: str = "0.25",
) -> str:
    """A wall system of units of 18 x 12 in without corner and cap, 120 pcf in place."""
    return UNIT.format(id=name, setback=setback, height=height, weight=weight, void=void_ft3)


def section_file(
    name: str,
    burial: str = "0 in",
    *,
    ends: str = "0 in",
    pad: str = "6 in",
    front: str = "6 in",
    rear: str = "6 in",
    slope: str | None = "1:1",
) -> str:
    """A section with stone up to the top; `slope` None leaves the cut to the soil's class."""
    cut = f'cut_slope = "{slope}"' if slope else ""
    return SECTION.format(
        id=name, burial=burial, ends=ends, pad=pad, front=front, rear=rear, slope=cut
    )


def soil_file(
    name: str,
    *,
    friction: float = 30,
    swell: str = "0.25",
    shrink: str = "0.10",
    bank: float = 108,
    class_: str = "C",
) -> str:
    """A soil by two volume changes; its weights follow from that of the bank."""
    return SOIL.format(
        id=name,
        friction=friction,
        swell=swell,
        shrink=shrink,
        bank=bank,
        loose=round(bank / (1 + float(swell)), 4),
        compacted=round(bank / (1 - float(shrink)), 4),
        class_=class_,
    )
