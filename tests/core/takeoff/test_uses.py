"""What walls need of each item, in words that an estimator can re-add, by hand.

Unless a test says otherwise: units 18 x 8 x 12 in, cap 4 in, pad 24 x 6 in, drainage stone 12 in
wide that stops 8 in below the top.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.machine import HandStrip
from service.core.job.material import Material
from service.core.job.section import Section
from service.core.job.spec import WallSpec
from service.core.measure import METRIC, UNITS, US, UnitSet
from service.core.takeoff.takeoff import uses_of, with_strip
from service.core.takeoff.uses import OUTLET
from service.core.takeoff.uses import PIPE as PIPE_RUN
from tests.given.drained import FABRIC, PIPE
from tests.given.reinforcement import ITEM, MATERIALS, layer, reinforced, roll
from tests.given.set_walls import UPRIGHT
from tests.given.walls import (
    curve,
    entry,
    ft,
    inch,
    laid,
    legs,
    level_wall,
    line,
    section,
    straight,
    system,
    taken_off,
    to_ft,
    to_ft2,
    wall,
)

EXACT = 1e-9
DRAINED = section(pipe=PIPE)


def words(item: str, spec: WallSpec, detail: Section | None = None, units: UnitSet = US) -> str:
    """How the use of an item by one wall was counted."""
    return line(taken_off(spec, detail=detail, units=units), item).how[0]


def test_uses_tell_runs_of_caps() -> None:
    """27 caps on 40 ft; where the top falls at 20 ft, 14 on either side of it: 20 / 1.5 = 13.3."""
    assert words("cap", level_wall()) == "wall-1: caps in one run: 27"
    levels = ((0.0, 48), (ft(20), 48), (ft(20), 24), (ft(40), 24))
    stepped = wall((straight(ft(40)),), tuple(entry(at, inch(top)) for at, top in levels))
    assert words("cap", stepped) == "wall-1: caps in 2 runs: 14 + 14 = 28"


def test_uses_tell_the_pad_with_its_overdig() -> None:
    """6 in before the face, 12 of unit, 8 more and 2 of overdig are 28 in x 40 ft = 93.3333 ft2;
    8 in thick they are 62.2222 ft3, which is 2.30453 yd3. In meters there is one unit of volume:
    0.7112 x 12.192 x 0.2032 = 1.76194."""
    detail = section(rear_extension=inch(8), overdig=inch(2))
    told = "wall-1: pad strip 28 in wide, 93.3333 ft2 in plan, x 8 in = 62.2222 ft3 = 2.30453 yd3"
    assert words("base_stone", level_wall(), detail) == told
    assert words("base_stone", level_wall(), detail, METRIC).endswith("x 203.2 mm = 1.76194 m3")


def test_uses_wrap_the_pad_in_fabric() -> None:
    """6 in beyond each end and 2 of overdig: 41 ft x 26 in = 88.8333 ft2 below, and two sides of
    41 ft x 8 in = 54.6667 ft2."""
    detail = section(end_extension=inch(6), overdig=inch(2))
    detail = replace(detail, leveling_pad=replace(detail.leveling_pad, fabric="pad_fabric"))
    found = line(taken_off(level_wall(), detail=detail), "pad_fabric")
    assert to_ft2(found.net) == pytest.approx(41 * 26 / 12 + 2 * 41 * 8 / 12, rel=EXACT)
    assert found.how[0] == (
        "wall-1: under the pad 88.8333 ft2 + up both its sides 54.6667 ft2 = 143.5 ft2"
    )


def test_uses_tell_why_there_are_outlets() -> None:
    """40 ft begin one stretch of 50 ft, as many as there are low stretches of base. A base that is
    low at both ends of 36 ft has two."""
    told = "wall-1: outlets, one for each 50 ft begun: 1 x 4 ft = 4 ft"
    assert words("outlet_pipe", level_wall(), DRAINED) == told
    fronts = ((0, 8), (12, 8), (12, 24), (24, 24), (24, 8), (36, 8))
    rows = tuple(entry(ft(at), inch(48), inch(front)) for at, front in fronts)
    told = "wall-1: outlets, one for each low stretch of base: 2 x 4 ft = 8 ft"
    assert words("outlet_pipe", wall((straight(ft(36)),), rows), DRAINED) == told


def test_uses_tell_fabric_with_its_laps() -> None:
    """From the base at -12 in to 40 in: 52 in x 40 ft = 173.333 ft2, and two laps of 12 in."""
    assert words("filter_fabric", level_wall(), section(filter_fabric=FABRIC)) == (
        "wall-1: rear face of the drainage stone 173.333 ft2 + laps of 12 in at top and bottom "
        "80 ft2 = 253.333 ft2"
    )


def test_uses_have_titles_for_want_of_a_file() -> None:
    """A unit is told with its system, stone without it; a file's title takes the place of both."""
    file = Material(
        id="base_stone", version="1", title="Gravel", group="stone", sold_per=UNITS["yd3"]
    )
    for materials, title in (({}, "leveling pad stone"), ({"base_stone": file}, "Gravel")):
        found = taken_off(level_wall(), materials=materials)
        assert line(found, "block").description == "Blocks: standard unit"
        assert line(found, "base_stone").description == title


def outlets(specs: Sequence[WallSpec], *, run_priced: bool) -> list[tuple[str, float, str]]:
    """Each wall's outlet pipe in feet, and the end of its words."""
    layouts = [laid(spec, detail=DRAINED) for spec in specs]
    uses = uses_of(layouts, system(), DRAINED, US, run_priced=run_priced)
    assert [use.wall for use in uses if use.kind is PIPE_RUN] == sorted(s.name for s in specs)
    return [
        (use.wall, round(to_ft(use.amount), 9), use.how[-len("a run replaces") :])
        for use in uses
        if use.kind is OUTLET
    ]


def test_uses_leave_out_the_outlet_that_a_priced_run_replaces() -> None:
    """Walls of 60 and 40 ft have two outlets of 4 ft and one: a run replaces one of the first wall,
    of a wall with one alone it replaces all. Other pipe stays."""
    long, short = level_wall(ft(60), name="a"), level_wall(name="b")
    plain = [("a", 8.0), ("b", 4.0)]
    assert [each[:2] for each in outlets([short, long], run_priced=False)] == plain
    one, other = outlets([short, long], run_priced=True)
    assert one == ("a", 4.0, "e run replaces")
    assert other[:2] == ("b", 4.0)
    assert outlets([short], run_priced=True) == []


def test_with_strip_measures_what_is_compacted_by_hand() -> None:
    """A strip of 12 in behind seven plumb courses of 40 ft: 40 x 1 x 56 / 12 ft3; without a strip
    nothing is kept from the machines."""
    spec = level_wall()
    found, layouts = taken_off(spec, blocks=system(setback=0.0)), [laid(spec, system(setback=0.0))]
    assert with_strip(found, layouts, None) is found
    assert found.measured["hand_strip_volume"] == (("wall-1", 0.0),)
    ((name, volume),) = with_strip(found, layouts, HandStrip(width_m=inch(12))).measured[
        "hand_strip_volume"
    ]
    assert name == "wall-1"
    assert volume == pytest.approx(40 * 56 / 12 * 0.3048**3, rel=EXACT)


def reinforcement_words(spec: WallSpec, *courses: int, to_m: float | None = None) -> str:
    """How the reinforcement of a wall was counted: whole layers, the first of them to a station."""
    layout = laid(spec, UPRIGHT)
    first, *more = courses
    rows = [layer(layout, first, to_m=to_m), *(layer(layout, each) for each in more)]
    reinforcement = [reinforced(layout, *rows)]
    found = taken_off(spec, blocks=UPRIGHT, materials=MATERIALS, reinforcement=reinforcement)
    return line(found, ITEM).how[0]


def test_uses_tell_layers_that_take_the_same_together() -> None:
    """One layer is told as one, two alike as two."""
    one, two = (reinforcement_words(level_wall(), *courses) for courses in ((2,), (2, 4)))
    assert "under course 2: 5 ft from the face" in one
    assert "under courses 2, 4: each 5 ft from the face" in two


def test_uses_tell_what_is_carried_on_behind_an_inside_corner() -> None:
    """At a right angle the square of the length, 25 ft2; on a straight wall nothing."""
    told = "with 25 ft2 of one leg carried on behind the other at the inside corner"
    assert told in reinforcement_words(level_wall(legs("inside", 90, ft(20), ft(10))), 2)
    assert "carried on" not in reinforcement_words(level_wall(), 2)


def test_uses_tell_of_soil_between_sheets_where_any_layer_overlaps() -> None:
    """The first layer ends before the corner or the curve, the second goes around it."""
    bent = (straight(ft(20)), curve("outside", ft(10), 90))
    for plan in (legs("outside", 90, ft(20), ft(10)), bent):
        told = reinforcement_words(level_wall(plan), 2, 4, to_m=ft(10))
        assert told.endswith("3 in of soil between sheets that overlap")


def test_take_off_finds_the_layers_of_each_wall() -> None:
    """A wall without layers stands before one that has them: 40 x 5 ft2."""
    plain, other = level_wall(name="a"), level_wall(name="b")
    layout = laid(other, UPRIGHT)
    reinforcement = [reinforced(layout, layer(layout, 2))]
    found = taken_off(
        plain, other, blocks=UPRIGHT, materials=MATERIALS, reinforcement=reinforcement
    )
    ((name, area),) = line(found, ITEM).shares
    assert name == "b"
    assert to_ft2(area) == pytest.approx(200, rel=EXACT)


def test_take_off_cuts_pieces_of_nearly_one_length_as_the_longest() -> None:
    """Four layers of 7 pieces, one of them 0.01 mm longer than 5 ft, and 7 % of waste: 29.96, so 30
    pieces. A roll of 150 ft gives 30 of 5 ft, but 29 of the longest, so it takes two."""
    spec = level_wall()
    layout = laid(spec, UPRIGHT)
    detail = section(waste={"reinforcement": "0.07"})
    for longest, rolls in ((ft(5), 1), (ft(5) + 1e-5, 2)):
        rows = [layer(layout, 2, longest), *(layer(layout, course) for course in (3, 4, 5))]
        for order in (rows, rows[::-1]):
            found = taken_off(
                spec,
                blocks=UPRIGHT,
                detail=detail,
                materials=MATERIALS,
                reinforcement=[reinforced(layout, *order)],
            )
            assert line(found, ITEM).order == rolls


def test_take_off_tells_the_longest_pieces_first() -> None:
    """Layers of 5 and of 6 ft; of a roll of 5.5 ft it is the longer one that is too long."""
    spec = level_wall()
    layout = laid(spec, UPRIGHT)
    reinforcement = [reinforced(layout, layer(layout, 2), layer(layout, 4, ft(6)))]
    found = taken_off(spec, blocks=UPRIGHT, materials=MATERIALS, reinforcement=reinforcement)
    pieces = [words for words in line(found, ITEM).how if "waste" in words]
    assert pieces == ["net 7 pieces of 6 ft, no waste: 7", "net 7 pieces of 5 ft, no waste: 7"]
    short = {ITEM: roll(length=ft(5.5))}
    with pytest.raises(QuoteFaultsError, match="6 ft long"):
        taken_off(spec, blocks=UPRIGHT, materials=short, reinforcement=reinforcement)


@pytest.mark.parametrize(
    ("factor", "told"),
    [
        (1.1234567, "x 1.12346 loose for one in place: 1.66438 yd3"),
        (2.0, "x 2 loose for one in place: 2.96296 yd3"),
        (1.0, None),
    ],
)
def test_take_off_tells_how_stone_loosens(factor: float, told: str | None) -> None:
    """40 ft3 of pad are 1.481481 yd3 in place, so much more loose; where it is the same, nothing is
    told of it."""
    stone = Material(
        id="base_stone",
        version="1",
        title="Stone",
        group="stone",
        sold_per=UNITS["yd3"],
        increment=Decimal("0.5"),
        loose_per_in_place=factor,
    )
    found = line(taken_off(level_wall(), materials={"base_stone": stone}), "base_stone")
    assert [words for words in found.how if "loose" in words] == ([told] if told else [])
    assert found.order == math.ceil(40 / 27 * factor / 0.5) * Decimal("0.5")
