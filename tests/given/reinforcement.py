"""Small builders for reinforcement: a sheet on a roll of 6 x 150 ft, layers by course."""

from __future__ import annotations

from decimal import Decimal

from service.core.job.material import Material, Pack
from service.core.job.reinforcement import Layer, Sheet, WallReinforcement
from service.core.layout.layout import WallLayout
from service.core.measure import UNITS
from tests.given.walls import ft, inch

ITEM = "sheet"
POUND = 0.45359237


def roll(*, width: float = ft(6), length: float = ft(150)) -> Material:
    """A sheet of 3,500 lb/ft; a roll holds its area in ft2 and weighs 45 lb."""
    area = Decimal(repr(round(width * length / 0.3048**2, 6)))
    pack = Pack(content=area, unit=UNITS["ft2"], word="roll")
    return Material(
        id=ITEM,
        version="1",
        title="Sheet",
        group="reinforcement",
        sold_per=None,
        pack=pack,
        kg_per_unit=45 * POUND / pack.content_si,
        reinforcement=Sheet(ultimate_n_m=51078.66, roll_width_m=width, roll_length_m=length),
    )


MATERIALS = {ITEM: roll()}


def layer(
    layout: WallLayout,
    course: int,
    length: float = ft(5),
    from_m: float = 0.0,
    to_m: float | None = None,
) -> Layer:
    """A layer under a course (counted from 1), over the whole wall unless stations are given."""
    return Layer(
        from_m=from_m,
        to_m=layout.length_m if to_m is None else to_m,
        joint=layout.lowest + course - 1,
        length_m=length,
    )


def reinforced(layout: WallLayout, *layers: Layer) -> WallReinforcement:
    """The layers of a wall, of the one item."""
    return WallReinforcement(wall=layout.name, item=ITEM, layers=layers, soil_between_m=inch(3))
