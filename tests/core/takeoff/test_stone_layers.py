"""Layers of drainage stone: where they begin and end, on which joints, course by course, by hand.

Units are 8 in high and 12 in deep, without a cap; the highest joint lies at the highest top. Where
nothing else is said stone is 12 in wide, begins on the pad and stops 8 in below the top.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from service.core.job.section import Section
from service.core.job.spec import WallSpec
from service.core.layout.layout import WallLayout
from service.core.takeoff.stone import drainage_by_course, drainage_layers, fabric_area_m2
from tests.given.drained import FABRIC
from tests.given.walls import (
    entry,
    ft,
    inch,
    laid,
    level_wall,
    quarter_circle,
    section,
    straight,
    system,
    to_ft,
    to_ft2,
    to_inch,
    wall,
)

EXACT = 1e-9
CUBIC_FOOT = 0.3048**3
BLOCKS = system(cap=None)
BURIED = section(starts_at="buried_course", minimum=inch(18))


def along(*levels: tuple[float, float, float]) -> WallSpec:
    """A straight wall by stations in feet, tops and front grades in inches."""
    rows = tuple(entry(ft(at), inch(top), inch(front)) for at, top, front in levels)
    return wall((straight(ft(levels[-1][0])),), rows)


def layers(layout: WallLayout, detail: Section) -> list[tuple[float, float, int, int]]:
    """Stations in feet; on which course each layer begins, and behind which it ends."""
    return [
        (
            round(to_ft(layer.from_m), 6),
            round(to_ft(layer.to_m), 6),
            layer.bottom - layout.lowest + 1,
            layer.last - layout.lowest + 1,
        )
        for layer in drainage_layers(layout, detail.drainage)
    ]


def test_drainage_layers_are_cut_where_their_top_passes_a_joint() -> None:
    """The base lies 8 in below front grade. Tops of 24 in for 10 ft, then up to 48 in at 20 ft:
    stone of 24 in, the height of three courses, then up to 48 in, the height of six, which it
    passes every 10 / 3 ft. A wall that is walked along from its other end has the same."""
    layout = laid(along((0, 24, 0), (10, 24, 0), (20, 48, 0)), BLOCKS)
    marks = [round(mark, 6) for mark in (0, 10, 10 + 10 / 3, 10 + 20 / 3, 20)]
    there = [(*ends, 1, last) for ends, last in zip(pairwise(marks), (3, 4, 5, 6), strict=True)]
    assert layers(layout, section()) == there
    turned = laid(along((0, 48, 0), (10, 24, 0), (20, 24, 0)), BLOCKS)
    back = [(round(20 - end, 6), round(20 - start, 6), 1, last) for start, end, _, last in there]
    assert layers(turned, section()) == back[::-1]
    tops = [
        (to_inch(layer.from_top_m), to_inch(layer.to_top_m))
        for layer in drainage_layers(layout, section().drainage)
    ]
    # over the datum, the highest joint, at 48 in
    hand = [(-32, -32), (-32, -24), (-24, -16), (-16, -8)]
    assert tops == [pytest.approx(pair, abs=1e-9) for pair in hand]


def test_drainage_layers_follow_the_ground_from_joint_to_joint() -> None:
    """Joints lie at 53, 45 … 5 … -19 in; front grade at 5 in for 10 ft, then up 2 in a foot. The
    base, 18 in deep, steps from -19 in at 11, 15 and 19 ft. The stone begins on the joint at or
    below front grade: the fourth course at 5 in, from 14 ft the next at 13, from 18 ft one more
    at 21. It ends 8 in below the top, behind the eighth course."""
    layout = laid(along((0, 53, 5), (10, 53, 5), (20, 53, 25)), BLOCKS, BURIED)
    assert layers(layout, BURIED) == [
        (0, 10, 4, 8),
        (10, 11, 4, 8),
        (11, 14, 4, 8),
        (14, 15, 5, 8),
        (15, 18, 5, 8),
        (18, 19, 6, 8),
        (19, 20, 6, 8),
    ]


def test_drainage_by_course_counts_courses_from_the_lowest() -> None:
    """Of the same wall: 14 ft behind the fourth course, 18 behind the fifth, 20 behind three more,
    each a foot wide and 8 in high."""
    layout = laid(along((0, 53, 5), (10, 53, 5), (20, 53, 25)), BLOCKS, BURIED)
    found = drainage_by_course(layout, BURIED.drainage)
    assert list(found) == [4, 5, 6, 7, 8]
    cubic_feet = [volume / CUBIC_FOOT for volume in found.values()]
    assert cubic_feet == pytest.approx([length * 8 / 12 for length in (14, 18, 20, 20, 20)])


def test_drainage_layers_leave_a_gap_where_no_stone_has_room() -> None:
    """Stone from front grade to 24 in below tops of 48, 24 and 48 in: none in the middle. 2 x 20 ft
    x 24 in x 12 in are 80 ft3, three courses of 80 / 3."""
    detail = section(starts_at="buried_course", stops_below_top=inch(24))
    tops = ((0, 48), (20, 48), (20, 24), (40, 24), (40, 48), (60, 48))
    layout = laid(along(*((at, top, 0) for at, top in tops)), BLOCKS, detail)
    assert layers(layout, detail) == [(0, 20, 2, 4), (40, 60, 2, 4)]
    volumes = drainage_by_course(layout, detail.drainage).values()
    assert [each / CUBIC_FOOT for each in volumes] == pytest.approx([80 / 3] * 3, rel=EXACT)


def test_fabric_lies_at_the_rear_of_the_stone() -> None:
    """Behind an upright quarter circle of 240 in lies a unit of 12 in and stone of 12 in: fabric of
    216 in x π / 2, 52 in high from the base at -12 in to 40 in, with two laps of 12 in."""
    layout = laid(level_wall(quarter_circle("outside")), system(setback=0.0))
    face, laps = fabric_area_m2(layout, section().drainage, FABRIC)
    arc_ft = 18 * math.pi / 2
    assert to_ft2(face) == pytest.approx(arc_ft * 52 / 12, rel=EXACT)
    assert to_ft2(laps) == pytest.approx(arc_ft * 2, rel=EXACT)
