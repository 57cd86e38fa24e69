"""Stone in place: leveling pad, drainage stone, core fill, and how it is ordered, by hand.

Unless a test says otherwise: units 18 x 8 x 12 in, setback 1 in, cap 4 in, pad 24 x 6 in,
drainage stone 12 in wide.
"""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from service.core.cautions.earth_facts import tight_plan_fact
from service.core.job.section import Section
from service.core.job.spec import TurnSide, WallSpec
from service.core.job.wall_system import WallSystem
from service.core.measure import US
from service.core.takeoff.stone import drainage_by_course, hand_strip_m3
from tests.given.set_walls import Q1, SET_BLOCKS
from tests.given.walls import (
    after,
    corner,
    curve,
    entry,
    ft,
    inch,
    laid,
    legs,
    level_wall,
    line,
    quarter_circle,
    section,
    straight,
    system,
    taken_off,
    to_inch,
    to_yd3,
    unit,
    wall,
)

EXACT = 1e-9
CUBIC_INCH = 0.0254**3
CUBIC_FOOT = 0.3048**3
TO_THE_TOP = section(stops_below_top=0.0)
Q3_OUTSIDE = level_wall(quarter_circle("outside"), inch(40))
Q3_INSIDE = level_wall(quarter_circle("inside"), inch(40))


def net(
    item: str, spec: WallSpec, blocks: WallSystem | None = None, detail: Section | None = None
) -> float:
    """Net amount of an item of one wall."""
    return line(taken_off(spec, blocks=blocks, detail=detail), item).net


def test_take_off_the_leveling_pad_of_forty_feet() -> None:
    """40 ft x 24 in x 6 in = 40 ft³ = 1.4815 yd³ in place, ordered as 1.5 yd³."""
    found = line(taken_off(level_wall()), "base_stone")
    assert found.net == pytest.approx(40 * CUBIC_FOOT, rel=EXACT)
    assert to_yd3(found.net) == pytest.approx(1.4815, abs=5e-5)
    assert (found.order, found.order_unit) == (Decimal("1.5"), "yd3")


def test_take_off_a_pad_that_reaches_beyond_each_end() -> None:
    """Wall Q1: 6 in beyond each end make 41 ft x 2 ft x 6 in = 1.5185 yd³."""
    found = net("base_stone", Q1, SET_BLOCKS, section(end_extension=inch(6)))
    assert found == pytest.approx(41 * CUBIC_FOOT, rel=EXACT)
    assert to_yd3(found) == pytest.approx(1.5185, abs=5e-5)


def test_take_off_overdig_thickens_the_pad_below_and_behind() -> None:
    """2 in of overdig: 40 ft x 26 in x 8 in, and nothing in front."""
    found = net("base_stone", level_wall(), None, section(overdig=inch(2)))
    assert found == pytest.approx(480 * 26 * 8 * CUBIC_INCH, rel=EXACT)


@pytest.mark.parametrize(
    ("spec", "square_inches"),
    [(Q3_OUTSIDE, 246**2 - 222**2), (Q3_INSIDE, 258**2 - 234**2)],
    ids=["outside", "inside"],
)
def test_take_off_a_curved_pad_by_its_own_strip(spec: WallSpec, square_inches: float) -> None:
    """Wall Q3: π/4·(20.5² - 18.5²) = 61.2611 ft² outside, 64.4026 inside, not arc x 2 ft."""
    found = net("base_stone", spec, SET_BLOCKS)
    assert found == pytest.approx(math.pi / 4 * square_inches * 6 * CUBIC_INCH, rel=EXACT)


def test_take_off_a_curved_pad_in_cubic_yards() -> None:
    """Wall Q3: 61.2611 ft² x 6 in = 1.13446 yd³."""
    assert to_yd3(net("base_stone", Q3_OUTSIDE, SET_BLOCKS)) == pytest.approx(1.13446, abs=5e-6)


@pytest.mark.parametrize(("side", "square_inches"), [("outside", 8352), ("inside", 8928)])
def test_take_off_a_pad_around_a_corner_is_mitred(side: TurnSide, square_inches: float) -> None:
    """Legs of 20 and 10 ft: ∫ (360 ∓ 2x) dx from -6 to 18 = 8640 ∓ (18² - 6²) in²."""
    found = net("base_stone", level_wall(legs(side, 90, ft(20), ft(10))))
    assert found == pytest.approx(square_inches * 6 * CUBIC_INCH, rel=EXACT)


def test_take_off_a_stepped_pad_moves_back_with_its_base_course() -> None:
    """Where the base steps up one course on a curve, the pad's radii are one setback less."""
    # 45 deg of 246 to 222 in, then 45 deg of 245 to 221 in
    half = curve("outside", ft(20), 45)
    profile = (
        entry(0.0, inch(48)),
        entry(after(1), inch(48)),
        entry(after(1), inch(48), inch(8)),
        entry("end", inch(48), inch(8)),
    )
    found = net("base_stone", wall((half, half), profile), system(cap=None))
    area = math.pi / 8 * (246**2 - 222**2 + 245**2 - 221**2)
    assert found == pytest.approx(area * 6 * CUBIC_INCH, rel=EXACT)


def test_take_off_drainage_stone_of_a_straight_wall() -> None:
    """Wall Q1: 40 ft x 1 ft x 40 in = 4.9383 yd³."""
    found = net("drain_stone", Q1, SET_BLOCKS, TO_THE_TOP)
    assert found == pytest.approx(40 * 40 / 12 * CUBIC_FOOT, rel=EXACT)
    assert to_yd3(found) == pytest.approx(4.9383, abs=5e-5)


def test_take_off_drainage_stone_of_a_curve_course_by_course() -> None:
    """Wall Q3: six annuli that step back 3/4 in each, 4.26878 yd³, not arc x 1 ft x 4 ft."""
    # Σ π/4·((20 - 1 - k/16)² - (20 - 2 - k/16)²)·(2/3) ft³ = π/2·(111 - 15/16)·(2/3)
    found = net("drain_stone", Q3_OUTSIDE, SET_BLOCKS, TO_THE_TOP)
    expected = math.pi / 2 * (111 - 15 / 16) * 2 / 3
    assert found == pytest.approx(expected * CUBIC_FOOT, rel=EXACT)
    assert to_yd3(found) == pytest.approx(4.26878, abs=5e-6)


def test_take_off_drainage_stone_of_an_inside_curve() -> None:
    """The same inside: π/2·Σ (21.5 + k/16)·(2/3) ft³."""
    found = net("drain_stone", Q3_INSIDE, SET_BLOCKS, TO_THE_TOP)
    assert found == pytest.approx(math.pi / 2 * (129 + 15 / 16) * 2 / 3 * CUBIC_FOOT, rel=EXACT)


def test_take_off_drainage_stone_above_the_top_joint_keeps_the_top_offset() -> None:
    """Around an outside corner up to the top of the cap: the last 4 in lie behind course 7."""
    # course k: ∫ (360 - 2x) dx from 12 + k to 24 + k = 3888 - 24k in²
    # 8·(7·3888 - 24·21) + 4·(3888 - 24·6) = 228672 in³
    found = net("drain_stone", level_wall(legs("outside", 90, ft(20), ft(10))), None, TO_THE_TOP)
    assert found == pytest.approx(228672 * CUBIC_INCH, rel=EXACT)


def test_take_off_drainage_stone_stops_inside_a_course() -> None:
    """Stopped 8 in below the top it ends at 40 in: half of the course from 36 to 44."""
    # 8·(6·3888 - 24·15) + 4·(3888 - 24·6) = 198720 in³
    found = net("drain_stone", level_wall(legs("outside", 90, ft(20), ft(10))))
    assert found == pytest.approx(198720 * CUBIC_INCH, rel=EXACT)


@pytest.mark.parametrize(("side", "cubic_inches"), [("outside", 213696), ("inside", 270144)])
def test_hand_strip_follows_the_offset_rule(side: TurnSide, cubic_inches: float) -> None:
    """Legs of 20 and 10 ft, 12 in behind each of 7 courses: 8·Σ (3888 - 24k) in³ outside, where the
    faces are 8·Σ (360 - 2k)·12 long; 8·Σ (4752 + 24k) inside."""
    layout = laid(level_wall(legs(side, 90, ft(20), ft(10))), system(), section())
    found = hand_strip_m3(layout, inch(12))
    assert found == pytest.approx(cubic_inches * CUBIC_INCH, rel=EXACT)


def test_take_off_drainage_stone_below_a_sloped_top() -> None:
    """2 to 4 ft over 20 ft, stopped 8 in below the top: 24 to 48 in of stone from the pad up."""
    # base 8 in below front grade, top - 8: heights 24 … 48 in, mean 36 in x 12 in x 20 ft
    spec = wall((straight(ft(20)),), (entry(0.0, ft(2)), entry("end", ft(4))))
    found = net("drain_stone", spec, system(cap=None))
    assert found == pytest.approx(60 * CUBIC_FOOT, rel=EXACT)


def test_take_off_drainage_stone_below_a_sloped_top_on_a_curve() -> None:
    """On a quarter circle each course's stone ends where the sloped line crosses it."""
    # Arc share t: stone up to z(t) = 16 + 24t in over front grade, from -8. Course k fills
    # -8 + 8k … 8k; its fill is full for t past (8k - 16)/24 and starts at t0 = (8k - 24)/24.
    # k = 0, 1, 2: full. k = 3 (16 … 24): ramp over t 0 … 1/3: 1/6 + 2/3 of 8 in = 20/3 in.
    # k = 4: t 1/3 … 2/3: 1/6 + 1/3 -> 4 in. k = 5: t 2/3 … 1: 1/6 -> 4/3 in. Annulus of course
    # k: π/4·((228 - k)² - (216 - k)²) = 3π·(444 - 2k) in².
    spec = wall(quarter_circle("outside"), (entry(0.0, ft(2)), entry("end", ft(4))))
    found = net("drain_stone", spec, system(cap=None))
    heights = (8, 8, 8, 20 / 3, 4, 4 / 3)
    expected = sum(3 * math.pi * (444 - 2 * k) * h for k, h in enumerate(heights))
    assert found == pytest.approx(expected * CUBIC_INCH, rel=EXACT)


def test_take_off_drainage_stone_from_the_buried_course() -> None:
    """From the highest joint at or below front grade: -4 in, to 40 in: 40 ft x 1 ft x 44 in."""
    found = net("drain_stone", level_wall(), None, section(starts_at="buried_course"))
    assert found == pytest.approx(40 * 44 / 12 * CUBIC_FOOT, rel=EXACT)


def test_take_off_drainage_stone_from_the_buried_course_leaves_out_all_that_is_below() -> None:
    """Two courses buried (18 in required, base -20): it still starts at -4 in."""
    detail = section(starts_at="buried_course", minimum=inch(18))
    found = net("drain_stone", level_wall(), None, detail)
    assert found == pytest.approx(40 * 44 / 12 * CUBIC_FOOT, rel=EXACT)


def test_take_off_drainage_stone_never_starts_below_the_top_of_the_lowest_course() -> None:
    """With joints at -7 and 1 in the stone starts at 1 in, the top of the lowest course."""
    # top 49, no cap: base -7; stone 1 … 41 = 40 in
    detail = section(starts_at="buried_course")
    found = net("drain_stone", level_wall(exposed=inch(49)), system(cap=None), detail)
    assert found == pytest.approx(40 * 40 / 12 * CUBIC_FOOT, rel=EXACT)


def test_take_off_core_fill_by_void_and_net_units() -> None:
    """Wall Q1: 135 x 0.25 ft³ = 1.25 yd³."""
    blocks = system(standard=unit(void_m3=0.25 * CUBIC_FOOT), cap=None, setback=inch(0.75))
    found = net("core_stone", Q1, blocks, section(core_fill_item="core_stone"))
    assert to_yd3(found) == pytest.approx(1.25, rel=EXACT)


def test_take_off_one_line_for_stone_of_two_uses() -> None:
    """Drainage 4.9383 and core fill 1.25 yd³ of one item are one line of 6.1883 -> 6.5 yd³."""
    blocks = system(standard=unit(void_m3=0.25 * CUBIC_FOOT), cap=None, setback=inch(0.75))
    detail = section(stops_below_top=0.0, core_fill_item="drain_stone")
    found = line(taken_off(Q1, blocks=blocks, detail=detail), "drain_stone")
    assert to_yd3(found.net) == pytest.approx(4.9382716 + 1.25, abs=1e-6)
    assert found.order == Decimal("6.5")


def test_take_off_one_line_for_pad_and_core_fill_of_the_same_item() -> None:
    """Waste and the increment apply once to an item, whatever it is used for."""
    blocks = system(standard=unit(void_m3=0.25 * CUBIC_FOOT), cap=None, setback=inch(0.75))
    detail = section(stops_below_top=0.0, core_fill_item="base_stone", waste={"stone": "0.10"})
    found = line(taken_off(Q1, blocks=blocks, detail=detail), "base_stone")
    # pad 1.481481 + core fill 1.25 = 2.731481; x 1.1 = 3.00463 -> 3.5; apart 2.0 + 1.5
    assert to_yd3(found.net) == pytest.approx(1.4814815 + 1.25, abs=1e-6)
    assert found.order == Decimal("3.5")


def test_take_off_ends_stone_where_its_neighbor_does() -> None:
    """Two outside arcs of 120 in, 30 deg each, at an outside corner of 110 deg: their centers lie
    196.6 in apart, so that the circles part where 98.3 in are left, inside the drainage stone.

    An arc of radius r has lost acos(98.3 / 120) - acos(98.3 / r) of its 30 deg until then.
    """
    half = 120 * math.sin(math.radians(55))
    plan = (
        curve("outside", inch(120), 30),
        corner("outside", 110),
        curve("outside", inch(120), 30),
    )
    layout = laid(level_wall(plan, inch(12)), system(cap=None, setback=0.0), TO_THE_TOP)

    def left(radius: float) -> float:
        lost = math.acos(half / 120) - math.acos(min(1.0, half / radius))
        return max(0.0, math.radians(30) - lost) * radius

    rings = [120 - 12 - 12 * (i + 0.5) / 600 for i in range(600)]
    area = 2 * math.fsum(left(radius) for radius in rings) * 12 / 600
    volume = math.fsum(drainage_by_course(layout, TO_THE_TOP.drainage).values())
    height = math.fsum(c.runs[0].to_station_m > 0 for c in layout.courses) * 8
    assert volume / CUBIC_INCH == pytest.approx(area * height, rel=0.005)
    fact = tight_plan_fact(layout, TO_THE_TOP, None, US)["plan_too_tight"]
    assert "plan part 2" in fact.words


def test_take_off_a_shallow_base_twelve_inches_below_front_grade() -> None:
    """Common practice: a buried 6 in course on 6 in of stone is 12 in below front grade."""
    found = laid(level_wall(level_from="base"), system(standard=unit(height=inch(6)), cap=None))
    underside = to_inch(found.courses[0].elevation_m) - 6
    assert underside == pytest.approx(-12, abs=1e-9)


def test_take_off_a_pad_from_six_inches_before_to_eighteen_behind() -> None:
    """Common practice: 24 in of pad, 6 in before and 18 in behind the face line of a 12 in unit."""
    # on a curve the edges show apart: radii 10 ft + 6 in and 10 ft - 18 in, not ± 12 in
    spec = level_wall(quarter_circle("outside", ft(10)), level_from="base")
    found = net("base_stone", spec, system(standard=unit(height=inch(6)), cap=None))
    expected = math.pi / 4 * (126**2 - 102**2) * 6
    assert found == pytest.approx(expected * CUBIC_INCH, rel=EXACT)


def test_take_off_stone_does_not_hang_on_how_a_leg_is_written() -> None:
    """Under a top that slopes over an outside corner: legs of 20 ft in one part, three or forty."""
    detail = section(stops_below_top=0.0)
    found = []
    for parts in (1, 3, 40):
        leg = (straight(ft(20 / parts)),) * parts
        rows = (entry(0, ft(3)), entry(ft(20), ft(6)), entry("end", ft(3)))
        spec = wall((*leg, corner("outside", 90), *leg), rows)
        layout = laid(spec, system(cap=None), detail)
        found.append(math.fsum(drainage_by_course(layout, detail.drainage).values()))
    assert found[1:] == pytest.approx([found[0]] * 2, rel=1e-9)
