"""Ends of the cut, curves and corners, topsoil: closed forms and a second method.

The wall is 40 ft of 6 in units without setback, base 1 ft below the front grade of 0; see
test_earthwork.py for what is not said here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest

from service.core.ground.earthwork import WallEarthwork
from service.core.job.section import Section
from service.core.job.spec import EndKind, Ends, PlanPart, TurnSide, WallSpec
from service.core.job.topsoil import Topsoil
from service.core.job.wall_system import WallSystem
from tests.given.earth import (
    BETWEEN,
    FOOT_DEEP,
    SIX_HIGH,
    dig_section,
    dug,
    ground_wall,
    to_ft3,
)
from tests.given.set_walls import SET_BLOCKS
from tests.given.slice_polygons import slices
from tests.given.walls import corner, curve, ft, inch, laid, legs, straight, system, to_ft2

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

EXACT = 1e-9
HALF_PI = math.pi / 2


def terrace(
    plan: Sequence[PlanPart] = (), ends: Ends = BETWEEN, graded_behind_m: float = 0.0
) -> WallSpec:
    """4 ft of wall on level ground, nothing graded behind unless asked for."""
    return ground_wall(
        (0, 4, 0, 0),
        (40, 4, 0, 0),
        plan=plan,
        ends=ends,
        graded_behind_m=graded_behind_m,
        graded_in_front_m=0.0,
    )


def ends_ft3(earth: WallEarthwork) -> float:
    """What is cut in sloped ends."""
    return to_ft3(earth.ends.cut_m3)


@pytest.mark.parametrize("slope", [0.5, 1.0, 2.0])
def test_excavate_slopes_open_ends_over_level_ground(slope: float) -> None:
    """1 ft over a floor 2.5 ft wide: a wedge slope x 1² x 2.5 / 2 and a quarter cone
    pi x slope² x 1³ / 12, at each open end."""
    detail = dig_section(minimum=inch(12), cut_slope=slope)
    one_end = slope * 2.5 / 2 + math.pi * slope**2 / 12
    for ends, count in ((Ends(), 2), (Ends(start="against_structure"), 1), (BETWEEN, 0)):
        earth = dug(terrace(ends=ends), detail, SIX_HIGH)
        assert ends_ft3(earth) == pytest.approx(count * one_end, rel=1e-9)


@pytest.mark.parametrize("slope", [0.5, 1.0, 2.0])
def test_excavate_disturbs_the_ground_over_open_ends(slope: float) -> None:
    """1 ft over a floor 2.5 ft wide: slope x 1 x 2.5 and a quarter of a circle of slope x 1 ft, at
    each of both ends."""
    detail = dig_section(minimum=inch(12), cut_slope=slope)
    held, free = (dug(terrace(ends=ends), detail, SIX_HIGH) for ends in (BETWEEN, Ends()))
    one_end = slope * 2.5 + math.pi * slope**2 / 4
    assert to_ft2(free.disturbed_m2 - held.disturbed_m2) == pytest.approx(2 * one_end, rel=1e-9)


@pytest.mark.parametrize("kind", ["open", "finished", "into_grade"])
def test_excavate_slopes_every_end_without_a_structure(kind: EndKind) -> None:
    """Only a structure holds the ground up."""
    earth = dug(terrace(ends=Ends(start=kind, finish="against_structure")), FOOT_DEEP, SIX_HIGH)
    assert ends_ft3(earth) == pytest.approx(1.25 + math.pi / 12, rel=1e-9)


def test_excavate_puts_ends_back_as_they_were() -> None:
    """Ends are part of cut and of backfill, by the same volume."""
    held, free = (dug(terrace(ends=ends), FOOT_DEEP, SIX_HIGH) for ends in (BETWEEN, Ends()))
    assert free.cut_m3 - held.cut_m3 == pytest.approx(free.ends.cut_m3, rel=EXACT)
    assert free.backfill_m3 - held.backfill_m3 == pytest.approx(free.ends.cut_m3, rel=EXACT)
    assert free.ends.backfill_m3 == pytest.approx(free.ends.cut_m3, rel=EXACT)


def test_excavate_slopes_ends_over_ground_as_it_is_there() -> None:
    """A 4:1 bank: wedge and cone added up in small steps over the ground at the end."""
    spec = ground_wall(
        (0, 4, 0, 1),
        (40, 4, 0, 1),
        existing_slope=0.25,
        ends=Ends(start="against_structure"),
        graded_behind_m=0.0,
    )
    # heights over the floor at -1: 2 + x / 4 for x from -0.5 to 2
    wedge = sum((2 + (-0.5 + (i + 0.5) / 400) / 4) ** 2 / 2 / 400 for i in range(1000))
    # radial slices from the corner (2, -1): 2.5 + r cos / 4 - r, until it is 0
    cone = 0.0
    for i in range(2000):
        fall = 1 - math.cos((i + 0.5) / 2000 * HALF_PI) / 4
        cone += 2.5**3 / fall**2 / 6 * HALF_PI / 2000
    earth = dug(spec, FOOT_DEEP, SIX_HIGH)
    assert earth.cut_slope == 1.0
    assert ends_ft3(earth) == pytest.approx(wedge + cone, rel=1e-6)


@pytest.mark.parametrize("grounds", [(2, 1, 1), (1, 1, 2)])
def test_excavate_slopes_an_end_over_the_ground_there_alone(
    grounds: tuple[float, float, float],
) -> None:
    """Ground that falls a foot over the 20 ft beside an open end, and no more beyond them: the end
    is as it is over ground that is level all along."""
    start: EndKind = "open" if grounds[0] == 2 else "against_structure"
    finish: EndKind = "open" if grounds[2] == 2 else "against_structure"
    one, level = (
        dug(
            ground_wall(
                *((at, 4, 0, ground) for at, ground in zip((0, 20, 40), levels, strict=True)),
                ends=Ends(start=start, finish=finish),
                graded_behind_m=0.0,
                graded_in_front_m=0.0,
            ),
            FOOT_DEEP,
            SIX_HIGH,
        )
        for levels in (grounds, (2, 2, 2))
    )
    # 3 ft over a floor 2.5 ft wide: wedge and quarter cone
    assert ends_ft3(level) == pytest.approx(9 * 2.5 / 2 + math.pi * 27 / 12, rel=EXACT)
    assert one.ends.cut_m3 == pytest.approx(level.ends.cut_m3, rel=EXACT)


def test_excavate_slopes_ends_over_surveyed_ground() -> None:
    """The same bank as surveyed pairs has the same ends."""
    stations = ((0, 4, 0, 1), (40, 4, 0, 1))
    plane = ground_wall(*stations, existing_slope=0.25, ends=Ends(), graded_behind_m=0.0)
    pairs = ((-30, -6.5), (1, 1.25), (3, 1.75), (40, 11))
    survey = ground_wall(*stations, section_pairs=pairs, ends=Ends(), graded_behind_m=0.0)
    one, other = (dug(spec, FOOT_DEEP, SIX_HIGH).ends for spec in (plane, survey))
    assert one.cut_m3 == pytest.approx(other.cut_m3, rel=1e-6)


def test_excavate_has_no_sloped_ends_beside_a_vertical_cut() -> None:
    """A cut without slope ends upright."""
    detail = dig_section(minimum=inch(12), cut_slope=0.0)
    assert dug(terrace(ends=Ends()), detail, SIX_HIGH).ends.cut_m3 == 0


def test_excavate_carries_the_section_over_the_pads_ends() -> None:
    """6 in more pad at each end: 4 ft2 x 1 ft more cut; 2 x 0.5 of it is pad, the rest soil."""
    longer = dig_section(minimum=inch(12), end_extension=inch(6))
    plain, long = (dug(terrace(), detail, SIX_HIGH) for detail in (FOOT_DEEP, longer))
    assert to_ft3(long.cut_m3 - plain.cut_m3) == pytest.approx(4, rel=EXACT)
    assert to_ft3(long.backfill_m3 - plain.backfill_m3) == pytest.approx(3, rel=EXACT)


def test_excavate_carries_over_each_end_the_section_there() -> None:
    """Ground falls from 2 to 1 ft along the wall, its pad is a foot longer at each end: 13 ft3 more
    are cut at the start, 2 x 3.5 + 0.5 x 3 + 3 x 3 / 2, and 8 at the finish, 2 x 2.5 + 0.5 x 2 +
    2 x 2 / 2."""
    spec = ground_wall((0, 4, 0, 2), (40, 4, 0, 1), graded_behind_m=0.0, graded_in_front_m=0.0)
    longer = dig_section(minimum=inch(12), end_extension=ft(1))
    plain, long = (dug(spec, detail, SIX_HIGH) for detail in (FOOT_DEEP, longer))
    assert to_ft3(long.cut_m3 - plain.cut_m3) == pytest.approx(13 + 8, rel=EXACT)


def section_moments() -> tuple[float, float]:
    """Area of the terrace's cut and its first moment about the plan line, in ft."""
    trench, floor, slope = 2 * 1.5, 0.5 * 1, 0.5
    return trench + floor + slope, trench * 0.5 + floor * 1.75 + slope * (2 + 1 / 3)


@pytest.mark.parametrize(("side", "sign"), [("outside", -1), ("inside", 1)])
def test_excavate_counts_an_arc_by_its_annulus(side: TurnSide, sign: int) -> None:
    """Quarter circle of 20 ft: angle x (radius x area -/+ first moment)."""
    area, first = section_moments()
    earth = dug(terrace((curve(side, ft(20), 90),)), FOOT_DEEP, SIX_HIGH)
    assert to_ft3(earth.cut_m3) == pytest.approx(HALF_PI * (20 * area + sign * first), rel=EXACT)


@pytest.mark.parametrize(("side", "sign"), [("outside", -1), ("inside", 1)])
def test_excavate_counts_a_corner_by_the_moved_lines(side: TurnSide, sign: int) -> None:
    """A corner of 90 deg takes or adds twice the offset: two legs of 20 ft."""
    area, first = section_moments()
    earth = dug(terrace(legs(side, 90, ft(20), ft(20))), FOOT_DEEP, SIX_HIGH)
    assert to_ft3(earth.cut_m3) == pytest.approx(40 * area + sign * 2 * first, rel=EXACT)


def test_excavate_counts_nothing_beyond_the_center_of_a_curve() -> None:
    """An arc of 2 ft radius is a pie: soil behind its center is not there."""
    spec = terrace((curve("outside", ft(2), 90),), graded_behind_m=ft(12))
    earth = dug(spec, FOOT_DEEP, SIX_HIGH)
    # cut up to x = 2: trench 2 x 1.5 from -0.5 to 1.5, floor 0.5 x 1 at 1.75
    assert to_ft3(earth.cut_m3) == pytest.approx(HALF_PI * (2 * 3.5 - 1.5 - 0.875), rel=EXACT)
    assert earth.fill_m3 == 0


def test_excavate_counts_nothing_where_a_leg_is_used_up() -> None:
    """A leg of 4 ft between two outside corners of 90 deg ends 2 ft behind the plan line."""
    short, long = 4.0, 20.0
    spec = terrace(legs("outside", 90, ft(long), ft(short), ft(long)), graded_behind_m=0.0)
    area, first = section_moments()
    # the middle leg loses 2 x the offset and nothing of it lies behind 2 ft
    middle = short * 3.5 - 2 * (1.5 + 0.875)
    earth = dug(spec, FOOT_DEEP, SIX_HIGH)
    expected = 2 * (long * area - first) + middle
    assert to_ft3(earth.cut_m3) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_excavate_meets_a_curve_at_a_corner_where_the_moved_lines_do(side: TurnSide) -> None:
    """A corner between a straight and a very large circle is nearly that of two straights."""
    bent: tuple[PlanPart, ...] = (
        straight(ft(20)),
        corner(side, 90),
        curve("outside", ft(40000), math.degrees(20 / 40000)),
    )
    straights = dug(terrace(legs(side, 90, ft(20), ft(20))), FOOT_DEEP, SIX_HIGH)
    assert dug(terrace(bent), FOOT_DEEP, SIX_HIGH).cut_m3 == pytest.approx(
        straights.cut_m3, rel=1e-3
    )


CHANGING = (
    ground_wall((0, 4, 0, 3), (40, 4, 1, 3), existing_slope=0.25),
    ground_wall((0, 4, 0, 1), (12, 5, 1, 2), (40, 4, 2, 2.5), existing_slope=0.5),
    ground_wall(
        (0, 6, 0, 5),
        (40, 3, 0, 1),
        existing_slope=0.1,
        graded_behind_m=ft(12),
        back_slope=0.05,
        front_slope=0.1,
        graded_in_front_m=ft(4),
    ),
    ground_wall((0, 4, 0, 4), (40, 4, 0, 6), existing_slope=0.2, back=3, graded_behind_m=ft(20)),
    ground_wall(
        (0, 4, 0, -2),
        (40, 4, 0, 1),
        existing_slope=0.1,
        graded_behind_m=ft(20),
        graded_in_front_m=ft(20),
    ),
    ground_wall(
        (0, 4, 0, 0),
        (40, 3, 0.5, 0),
        section_pairs=((-60, -1), (-3, 0), (2, 1), (6, 4), (80, 5)),
        graded_in_front_m=ft(8),
    ),
)
STEPPED = dig_section(shares=((0.0, 0.05), (0.1, 0.1)), overdig=inch(3), working_room=inch(4))
BURIED = dig_section(
    shares=((0.0, 0.05), (0.1, 0.1)), starts_at="buried_course", stops_below_top=inch(8)
)


@pytest.mark.parametrize("spec", CHANGING)
@pytest.mark.parametrize(
    ("blocks", "detail"), [(system(), STEPPED), (system(), BURIED), (SET_BLOCKS, STEPPED)]
)
def test_excavate_agrees_with_fine_slices(
    spec: WallSpec, blocks: WallSystem, detail: Section
) -> None:
    """Changing grade, steps, slopes that meet: polygons of 160 slices agree within 0.1 %."""
    layout = laid(spec, blocks, detail)
    earth = dug(spec, detail, blocks)
    found = slices(layout, detail, earth.cut_slope, 160)
    assert earth.cut_m3 == pytest.approx(found.cut, rel=1e-3)
    assert earth.backfill_m3 == pytest.approx(found.backfill, rel=1e-3)
    assert earth.fill_m3 == pytest.approx(found.fill, rel=1e-3, abs=1e-3)


def test_excavate_is_the_same_from_the_other_end() -> None:
    """A wall mirrored end for end moves the same earth."""
    stations = ((0, 4, 0, 3), (20, 4, 1, 2), (50, 5, 1, 3))
    plan: tuple[PlanPart, ...] = (
        straight(ft(12)),
        curve("inside", ft(16), 60),
        straight(ft(9)),
        corner("outside", 45),
        straight(ft(14)),
    )
    length = math.fsum(part.length_m for part in plan) / 0.3048
    there = [(length if s == 50 else s, top, front, ground) for s, top, front, ground in stations]
    back = [(length - s, top, front, ground) for s, top, front, ground in reversed(there)]
    one, other = (
        dug(
            ground_wall(*along, plan=parts, ends=Ends(), existing_slope=0.25),
            dig_section(),
            SET_BLOCKS,
        )
        for along, parts in ((there, plan), (back, plan[::-1]))
    )
    for name in ("cut_m3", "backfill_m3", "fill_m3", "disturbed_m2", "deepest_m"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-6)


TOPSOIL = Topsoil(strip_m=inch(6), replace_m=inch(4))


def test_excavate_strips_topsoil_over_all_ground_touched() -> None:
    """12 ft graded behind and 0.5 in front of 40 ft: 500 ft2, stripped 6 in deep."""
    earth = dug(terrace(graded_behind_m=ft(12)), FOOT_DEEP, SIX_HIGH, topsoil=TOPSOIL)
    assert to_ft2(earth.disturbed_m2) == pytest.approx(500, rel=EXACT)
    assert to_ft3(earth.stripped_m3) == pytest.approx(250, rel=EXACT)


def test_excavate_puts_topsoil_back_on_finished_ground() -> None:
    """0.5 ft before the face and 10 behind stone that reaches the top: 420 ft2, 4 in deep; 460
    where the stone stops 8 in below it."""
    lower = dig_section(minimum=inch(12), stops_below_top=inch(8))
    for detail, area in ((FOOT_DEEP, 420), (lower, 460)):
        earth = dug(terrace(graded_behind_m=ft(12)), detail, SIX_HIGH, topsoil=TOPSOIL)
        assert to_ft3(earth.replaced_m3) == pytest.approx(area / 3, rel=EXACT)


def test_excavate_cuts_below_the_strip_and_fills_below_what_is_put_back() -> None:
    """Cut 4 ft2 less 6 in x 3.5 ft, plus what the strip takes off the slope's tip; fill 9 ft of
    4 ft + 6 in - 4 in."""
    earth = dug(terrace(graded_behind_m=ft(12)), FOOT_DEEP, SIX_HIGH, topsoil=TOPSOIL)
    # the slope's last 6 in lie in the strip: a triangle 0.5 x 0.5 / 2 that the strip takes beyond
    assert to_ft3(earth.cut_m3) / 40 == pytest.approx(4 - 0.5 * 3.5 + 0.125, rel=EXACT)
    assert to_ft3(earth.fill_m3) / 40 == pytest.approx(9 * (4 + 0.5 - 1 / 3), rel=EXACT)


@pytest.mark.parametrize("spec", [*CHANGING[:4], terrace(ends=Ends(), graded_behind_m=ft(12))])
def test_excavate_keeps_all_earth_with_topsoil(spec: WallSpec) -> None:
    """Stripping and putting back moves no more earth in all than doing without."""
    thin = Topsoil(strip_m=inch(3), replace_m=inch(2))
    under_topsoil = dig_section(stops_below_top=inch(8))
    bare, covered = (
        dug(replace(spec, front_slope=0.0), under_topsoil, SIX_HIGH, topsoil=topsoil)
        for topsoil in (Topsoil(strip_m=0.0, replace_m=0.0), thin)
    )

    def gained(earth: WallEarthwork) -> float:
        placed = earth.backfill_m3 + earth.fill_m3 + earth.replaced_m3
        return placed - earth.cut_m3 - earth.stripped_m3

    assert gained(covered) == pytest.approx(gained(bare), rel=1e-6, abs=1e-6)


def test_excavate_carries_an_upright_cut_over_the_pads_ends() -> None:
    """The same without a slope: 3.5 ft2 of trench and floor, 1 of it pad."""
    plain, long = (
        dug(terrace(), dig_section(minimum=inch(12), cut_slope=0.0, end_extension=at), SIX_HIGH)
        for at in (0.0, inch(6))
    )
    assert to_ft3(long.cut_m3 - plain.cut_m3) == pytest.approx(3.5, rel=EXACT)
    assert to_ft3(long.backfill_m3 - plain.backfill_m3) == pytest.approx(2.5, rel=EXACT)
