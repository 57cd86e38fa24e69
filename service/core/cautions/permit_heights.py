"""The height of a wall as the place measures it that asks for a permit (rule 22.10)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import assert_never, get_args

from service.core.closed_list import row_each
from service.core.job.fact import Fact, Facts
from service.core.job.jurisdiction import HeightFrom
from service.core.job.section import Section
from service.core.layout.layout import WallLayout
from service.core.layout.levels import Stretch
from service.core.measure import UnitSet

_FROM_WORDS: Mapping[HeightFrom, str] = row_each(
    get_args(HeightFrom),
    {
        "pad_bottom": "From bottom of pad to top",
        "lowest_unit": "From the underside of the lowest unit to top",
        "front_grade": "From the ground in front to top",
    },
)


def permit_fact(
    layout: WallLayout, section: Section, height_from: HeightFrom, units: UnitSet
) -> Facts:
    """The largest height of a wall, measured as the place does, with its station."""
    value, stretch = _highest(layout, section, height_from)
    high, place = units.show(value, "length"), units.show(stretch.from_m, "length")
    words = f"{_FROM_WORDS[height_from]} {high} at station {place}."
    return {"permit_height": Fact(value=value, words=words)}


def permit_heights(
    layouts: Sequence[WallLayout], section: Section, height_from: HeightFrom
) -> Mapping[str, float]:
    """The same by wall, in m."""
    return {layout.name: _highest(layout, section, height_from)[0] for layout in layouts}


def _highest(
    layout: WallLayout, section: Section, height_from: HeightFrom
) -> tuple[float, Stretch]:
    heights = ((_height_m(layout, s, section, height_from), s) for s in layout.stretches)
    return max(heights, key=lambda pair: pair[0])


def _height_m(
    layout: WallLayout, stretch: Stretch, section: Section, height_from: HeightFrom
) -> float:
    built, pad = layout.built_height_m(stretch), section.leveling_pad
    match height_from:
        case "pad_bottom":
            return built + pad.thickness_m + pad.overdig_m
        case "lowest_unit":
            return built
        case "front_grade":
            ends = (stretch.interval.start, stretch.interval.finish)
            buried = min(end.front_m for end in ends) - layout.grid.level_m(stretch.base)
            return built - buried
        case other:
            assert_never(other)
