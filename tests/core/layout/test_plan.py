"""The plan line and its offset rule, against closed forms and against cut polylines."""

from __future__ import annotations

import math

import pytest

from service.core.job.spec import PlanPart, TurnSide, curve_from_chord
from service.core.layout import plan
from tests.given import moved_line
from tests.given.walls import corner, curve, ft, inch, legs, quarter_circle, straight, to_ft, to_ft2

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

EXACT = 1e-9
SAMPLED = 1e-7
TurnSides = tuple[TurnSide, TurnSide, TurnSide]


def whole_run(parts: tuple[PlanPart, ...], x_m: float) -> float:
    """Length of the whole line moved by `x_m`."""
    line = plan.measure(parts)
    return line.run_length_m(0.0, line.length_m, x_m)


def whole_strip(parts: tuple[PlanPart, ...], x1_m: float, x2_m: float) -> float:
    """Area of the strip beside the whole line."""
    line = plan.measure(parts)
    return line.strip_area_m2(0.0, line.length_m, x1_m, x2_m)


def test_curve_from_chord_gives_what_a_tape_measures() -> None:
    """A chord of 18 ft with a rise of 3 ft is an arc of 15 ft radius, 73.7398 deg, 19.305 ft."""
    # r = 18²/(8·3) + 3/2 = 13.5 + 1.5; angle = 4·atan(2·3/18); arc = 15 · 1.287002 = 19.30503
    arc = curve_from_chord("outside", ft(18), ft(3))
    assert arc.radius_m == pytest.approx(ft(15), rel=EXACT)
    assert math.degrees(arc.angle_rad) == pytest.approx(73.7398, abs=5e-5)
    assert to_ft(plan.measure((arc,)).length_m) == pytest.approx(19.305, abs=5e-4)


def test_curve_from_chord_holds_beyond_half_a_circle() -> None:
    """A rise larger than half the chord is an arc of more than half a circle."""
    # r = 4²/(8·8) + 8/2 = 4.25 ft; angle = 4·atan(2·8/4) = 4·atan 4 = 303.855 deg
    arc = curve_from_chord("inside", ft(4), ft(8))
    assert to_ft(arc.radius_m) == pytest.approx(4.25, rel=EXACT)
    assert math.degrees(arc.angle_rad) == pytest.approx(303.8550, abs=5e-5)


def test_measure_adds_the_lengths_of_the_parts() -> None:
    """A plan is as long as its straights and arcs; a corner has no length."""
    # 24 + 20·π/4 + 5 + 10 ft
    parts = (
        straight(ft(24)),
        curve("outside", ft(20), 45),
        straight(ft(5)),
        corner("outside"),
        straight(ft(10)),
    )
    assert to_ft(plan.measure(parts).length_m) == pytest.approx(39 + 5 * math.pi, rel=EXACT)


@pytest.mark.parametrize(
    ("side", "x_in", "radius_in"),
    [("outside", 6, 234), ("outside", -6, 246), ("inside", 6, 246), ("inside", -6, 234)],
)
def test_run_length_of_an_arc_follows_its_moved_radius(
    side: TurnSide, x_in: float, radius_in: float
) -> None:
    """Toward the soil an outside curve shrinks and an inside curve grows, and the other way."""
    moved = whole_run(quarter_circle(side), inch(x_in))
    assert moved == pytest.approx(inch(radius_in) * math.pi / 2, rel=EXACT)


@pytest.mark.parametrize("degrees", [60, 90, 120])
@pytest.mark.parametrize(("side", "sign"), [("outside", -1), ("inside", 1)])
@pytest.mark.parametrize("x_in", [-6, 0.75, 6, 24])
def test_run_length_of_straight_legs_changes_by_the_half_angle(
    side: TurnSide, sign: int, degrees: float, x_in: float
) -> None:
    """Each leg loses (outside) or gains (inside) x·tan(angle/2) at a corner."""
    # tan 30° = 1/√3, tan 45° = 1, tan 60° = √3; two legs of 20 and 10 ft: 360 in together
    tangent = {60: 1 / math.sqrt(3), 90: 1.0, 120: math.sqrt(3)}[int(degrees)]
    moved = whole_run(legs(side, degrees, ft(20), ft(10)), inch(x_in))
    assert moved == pytest.approx(inch(1) * (360 + sign * 2 * x_in * tangent), rel=EXACT)


def test_run_length_of_a_leg_between_two_corners_changes_at_both() -> None:
    """The middle leg of a U loses x at each of its two right corners."""
    # 6 + 12 + 6 ft: 288 in; four leg ends at corners, x = 5 in: 288 - 20
    moved = whole_run(legs("outside", 90, ft(6), ft(12), ft(6)), inch(5))
    assert moved == pytest.approx(inch(268), rel=EXACT)


def test_run_length_of_a_stretch_counts_only_its_own_corners() -> None:
    """A stretch that ends before the corner loses nothing; one that turns it loses on both legs."""
    line = plan.measure(legs("outside", 90, ft(20), ft(10)))
    assert line.run_length_m(0.0, ft(10), inch(6)) == pytest.approx(ft(10), rel=EXACT)
    assert line.run_length_m(ft(25), ft(30), inch(6)) == pytest.approx(ft(5), rel=EXACT)
    assert line.run_length_m(ft(10), ft(25), inch(6)) == pytest.approx(ft(14), rel=EXACT)


def test_run_length_up_to_a_corner_loses_on_that_leg_alone() -> None:
    """A stretch that ends at the corner is as long as that leg's part up to the moved corner."""
    line = plan.measure(legs("outside", 90, ft(20), ft(10)))
    assert line.run_length_m(0.0, ft(20), inch(6)) == pytest.approx(ft(19, 6), rel=EXACT)
    assert line.run_length_m(ft(20), ft(30), inch(6)) == pytest.approx(ft(9, 6), rel=EXACT)


def test_run_length_of_part_of_an_arc_is_its_share_of_the_angle() -> None:
    """Half the stations of an arc are half its angle at every offset."""
    line = plan.measure(quarter_circle("outside"))
    half = line.run_length_m(0.0, line.length_m / 2, inch(6))
    assert half == pytest.approx(inch(234) * math.pi / 4, rel=EXACT)


@pytest.mark.parametrize("x_in", [1, 6, 24, -6])
def test_run_length_of_an_arc_that_runs_into_a_right_corner_has_a_closed_form(x_in: float) -> None:
    """Beside a curve the moved lines meet where circle and line really intersect."""
    # Arc of 20 ft radius and 45 deg that ends at the origin heading east, centre (0, 240).
    # The next leg goes north; moved by x it is the line X = -x, the circle has radius 240 - x.
    # They meet at Y = 240 - √((240-x)² - x²): what the straight leg loses; the arc ends at the
    # angle -asin(x/(240-x)) from its foot.
    parts = (curve("outside", ft(20), 45), corner("outside"), straight(ft(10)))
    arc = (240 - x_in) * (math.pi / 4 - math.asin(x_in / (240 - x_in)))
    leg = 120 - (240 - math.sqrt((240 - x_in) ** 2 - x_in**2))
    line = plan.measure(parts)
    at = inch(240) * math.pi / 4
    assert line.run_length_m(0.0, at, inch(x_in)) == pytest.approx(inch(1) * arc, rel=EXACT)
    assert line.run_length_m(at, line.length_m, inch(x_in)) == pytest.approx(
        inch(1) * leg, rel=EXACT
    )
    assert moved_line.moved_length(parts, inch(x_in)) == pytest.approx(
        inch(1) * (arc + leg), rel=SAMPLED
    )


@pytest.mark.parametrize("degrees", [60, 90, 120])
@pytest.mark.parametrize("corner_side", ["outside", "inside"])
@pytest.mark.parametrize("curve_side", ["outside", "inside"])
def test_run_length_beside_a_curve_ends_where_the_moved_lines_cross(
    curve_side: TurnSide, corner_side: TurnSide, degrees: float
) -> None:
    """Any arc before or after any corner: as long as the lines that Shapely cuts."""
    bend = curve(curve_side, ft(12), 50)
    before = (straight(ft(6)), bend, corner(corner_side, degrees), straight(ft(10)))
    behind = (straight(ft(10)), corner(corner_side, degrees), bend, straight(ft(6)))
    for x_in in (-6, 6, 18):
        expected = moved_line.moved_length(before, inch(x_in))
        assert whole_run(before, inch(x_in)) == pytest.approx(expected, rel=SAMPLED)
        assert whole_run(behind, inch(x_in)) == pytest.approx(expected, rel=SAMPLED)


def test_run_length_between_two_curves_at_a_corner_is_cut_where_the_circles_cross() -> None:
    """Two arcs at a corner meet where their moved circles really intersect."""
    parts = (curve("outside", ft(15), 60), corner("outside", 70), curve("inside", ft(9), 40))
    for x_in in (-6, 6, 18):
        expected = moved_line.moved_length(parts, inch(x_in))
        assert whole_run(parts, inch(x_in)) == pytest.approx(expected, rel=SAMPLED)
    # two arcs that bend alike, or an inside corner: it is the other of the two crossings
    alike: TurnSides = ("outside", "outside", "outside")
    inward: TurnSides = ("outside", "inside", "inside")
    for before, at, behind in (alike, inward):
        parts = (curve(before, ft(15), 60), corner(at, 70), curve(behind, ft(9), 40))
        expected = moved_line.moved_length(parts, inch(6))
        assert whole_run(parts, inch(6)) == pytest.approx(expected, rel=SAMPLED)


def test_run_length_passes_over_a_stub_shorter_than_the_loss() -> None:
    """A 2 in straight between arc and corner is used up at 6 in; the line is cut at the arc."""
    # The leg is arc and stub together. With the arc's end at the origin, heading east, the corner
    # stands at (2, 0); the next leg moved by 6 is X = -4 and meets the circle of radius 234
    # around (0, 240) at Y = 240 - √(234² - 4²): the arc loses asin(4/234), the stub is gone.
    parts = (curve("outside", ft(20), 45), straight(inch(2)), corner("outside"), straight(ft(10)))
    arc = 234 * (math.pi / 4 - math.asin(4 / 234))
    leg = 120 - (240 - math.sqrt(234**2 - 4**2))
    assert moved_line.moved_length(parts, inch(6)) == pytest.approx(
        inch(1) * (arc + leg), rel=SAMPLED
    )
    assert whole_run(parts, inch(6)) == pytest.approx(inch(1) * (arc + leg), rel=EXACT)
    assert whole_run(parts[::-1], inch(6)) == pytest.approx(inch(1) * (arc + leg), rel=EXACT)


def test_run_length_passes_over_an_arc_shorter_than_the_loss() -> None:
    """An arc of 10 deg between two straights is used up at 24 in: their moved lines meet."""
    # The straights, drawn on, meet at 10 + 60 deg; moved by 24 each loses 24 tan 35 deg there.
    # By the law of sines the chord of the arc, 2 · 60 sin 5 deg, reaches chord · sin 65 / sin 70 to
    # that point on one straight, chord · sin 5 / sin 70 on the other.
    parts = (
        straight(ft(10)),
        curve("outside", inch(60), 10),
        corner("outside", 60),
        straight(ft(8)),
    )
    sin = {degrees: math.sin(math.radians(degrees)) for degrees in (5, 65, 70)}
    drawn_on = 120 * sin[5] * (sin[65] + sin[5]) / sin[70]
    expected = 216 + drawn_on - 48 * math.tan(math.radians(35))
    for plan_parts in (parts, parts[::-1]):
        assert whole_run(plan_parts, inch(24)) == pytest.approx(inch(1) * expected, rel=EXACT)


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_run_length_passes_over_a_stub_and_an_arc(side: TurnSide) -> None:
    """Of straight, arc and stub before a corner the stub and the arc are used up 30 in behind; and
    beside a stub before it an arc meets the arc after the corner: as cut polylines do."""
    straights = (
        straight(ft(10)),
        curve(side, inch(60), 10),
        straight(inch(6)),
        corner("outside", 60),
        straight(ft(8)),
    )
    arcs = (
        curve(side, ft(20), 30),
        straight(inch(6)),
        corner("outside", 60),
        curve("outside", ft(12), 40),
    )
    for parts in (straights, straights[::-1], arcs, arcs[::-1]):
        expected = moved_line.moved_length(parts, inch(30))
        assert whole_run(parts, inch(30)) == pytest.approx(expected, rel=SAMPLED)


def test_run_length_of_a_reversed_plan_is_the_same() -> None:
    """Walked from the other end, with the same sides, the moved line is as long."""
    parts = (
        straight(ft(7)),
        curve("outside", ft(9), 40),
        corner("inside", 75),
        straight(ft(11)),
        corner("outside", 100),
        curve("inside", ft(14), 33),
    )
    for x_in in (-6, 0, 5, 24):
        assert whole_run(parts, inch(x_in)) == pytest.approx(
            whole_run(parts[::-1], inch(x_in)), rel=EXACT
        )


@pytest.mark.parametrize(
    ("side", "expected_ft2"),
    [("outside", 58.9048623), ("inside", 98.1747704)],
)
def test_strip_area_of_a_quarter_annulus(side: TurnSide, expected_ft2: float) -> None:
    """5 ft behind a face of 10 ft radius: 58.905 ft² on the centre side, 98.175 outside."""
    # π/4·(10² - 5²) and π/4·(15² - 10²); arc x width would be 78.540 both times
    area = whole_strip(quarter_circle(side, ft(10)), 0.0, ft(5))
    assert to_ft2(area) == pytest.approx(expected_ft2, abs=1e-6)


@pytest.mark.parametrize(("side", "expected_ft2"), [("outside", 125), ("inside", 175)])
def test_strip_area_behind_an_l_is_mitred(side: TurnSide, expected_ft2: float) -> None:
    """5 ft behind legs of 20 and 10 ft: 125 ft² inside the corner, 175 around it."""
    area = whole_strip(legs(side, 90, ft(20), ft(10)), 0.0, ft(5))
    assert to_ft2(area) == pytest.approx(expected_ft2, rel=EXACT)


@pytest.mark.parametrize(
    ("side", "expected_ft2"), [("outside", 61.2610567), ("inside", 64.4026494)]
)
def test_strip_area_of_a_pad_on_a_quarter_circle(side: TurnSide, expected_ft2: float) -> None:
    """6 in before to 18 in behind a face of 20 ft radius: tests/reference/geometry.toml: Q3."""
    # outside π/4·(20.5² - 18.5²) = π/4·78; inside π/4·(21.5² - 19.5²) = π/4·82
    area = whole_strip(quarter_circle(side), inch(-6), inch(18))
    assert to_ft2(area) == pytest.approx(expected_ft2, abs=1e-6)


def test_strip_area_is_the_sum_of_narrower_and_shorter_strips() -> None:
    """Cut along its length or across it, a strip keeps its area."""
    parts = (
        straight(ft(10)),
        curve("outside", ft(20), 45),
        corner("outside"),
        straight(ft(10)),
    )
    line = plan.measure(parts)
    whole = line.strip_area_m2(0.0, line.length_m, inch(-6), inch(24))
    across = line.strip_area_m2(0.0, line.length_m, inch(-6), inch(10)) + line.strip_area_m2(
        0.0, line.length_m, inch(10), inch(24)
    )
    along = line.strip_area_m2(0.0, ft(14), inch(-6), inch(24)) + line.strip_area_m2(
        ft(14), line.length_m, inch(-6), inch(24)
    )
    assert across == pytest.approx(whole, rel=EXACT)
    assert along == pytest.approx(whole, rel=EXACT)


@pytest.mark.parametrize("corner_side", ["outside", "inside"])
@pytest.mark.parametrize("curve_side", ["outside", "inside"])
def test_strip_area_beside_a_curve_and_corner_is_that_of_the_polygon(
    curve_side: TurnSide, corner_side: TurnSide
) -> None:
    """Where a curve runs into a corner the strip has the area of its own polygon."""
    parts = (
        straight(ft(10)),
        curve(curve_side, ft(20), 45),
        corner(corner_side, 80),
        straight(ft(10)),
    )
    for near, far in ((-6, 18), (12, 24)):
        expected = moved_line.strip_area(parts, inch(near), inch(far))
        assert whole_strip(parts, inch(near), inch(far)) == pytest.approx(expected, rel=SAMPLED)


@pytest.mark.parametrize("parts", [1, 3, 40])
def test_body_takes_the_heights_of_the_stations_that_a_corner_takes(parts: int) -> None:
    """Two legs of 20 ft at 90 deg, 6 ft high at the corner and 3 ft at the ends, from 1 to 2 ft
    behind: each leg integral of (6 - 0.15 s) from s = x to 20 and x = 1 to 2, 81.175 ft3."""
    leg = (straight(ft(20 / parts)),) * parts
    line = plan.measure((*leg, corner("outside", 90), *leg))
    body = line.body_m3(0, ft(20), ft(1), ft(2), ft(3), ft(6))
    body += line.body_m3(ft(20), ft(40), ft(1), ft(2), ft(6), ft(3))
    assert body / ft(1) ** 3 == pytest.approx(2 * 81.175, rel=1e-9)


def test_sheet_shorter_than_the_loss_leaves_nothing() -> None:
    """A strip of 1 ft that falls to nothing, beside a corner that takes 2 ft."""
    line = plan.measure(legs("outside", 90, ft(20), ft(20)))
    for heights in ((2.0, 0.0), (0.0, 2.0), (1.0, 1.0)):
        assert line.sheet_m2(ft(20), ft(21), ft(2), *heights) == 0.0


@pytest.mark.parametrize("behind", [4, 6])
def test_sheet_from_the_center_of_a_curve_on_has_nothing_of_it(behind: float) -> None:
    """4 ft behind a curve of 4 ft is a point, and nothing farther on. Of the legs of 10 ft after
    it the corner takes as much as it is behind: the sheet is as high as amid what is left."""
    arc = curve("outside", ft(4), 30)
    line = plan.measure((arc, *legs("outside", 90, ft(10), ft(10))))
    left = 10 - behind
    middles = [(arc.length_m + ft(on)) / line.length_m for on in (left / 2, 20 - left / 2)]
    for first, last in ((1.0, 1.0), (0.0, 1.0), (1.0, 0.0)):
        sheet = ft(left) * sum(first + (last - first) * middle for middle in middles)
        found = line.sheet_m2(0.0, line.length_m, ft(behind), first, last)
        assert found == pytest.approx(sheet, rel=EXACT)


def test_sheet_under_a_slope_takes_the_heights_of_the_stations_that_are_left() -> None:
    """2 ft behind a curve of 8 ft a moved foot is 4/3 ft of the line: what a corner leaves of its
    length, times 4/3, are the stations from its beginning on, from 1 to 3 m high."""
    arc = curve("outside", ft(8), 60)
    line = plan.measure((arc, corner("outside", 90), straight(ft(20))))
    left = line.run_length_m(0.0, arc.length_m, ft(2))
    assert left < arc.length_m * 0.75
    highest = 1 + 2 * left / 0.75 / arc.length_m
    sheet = line.sheet_m2(0.0, arc.length_m, ft(2), 1.0, 3.0)
    assert sheet == pytest.approx(left * (1 + highest) / 2, rel=EXACT)


def test_bands_leave_out_a_leg_that_is_used_up() -> None:
    """Of legs of 10, 1 and 10 ft around two outside corners the middle one is gone 1 ft behind the
    line, where it has lost 1 ft at each end; from there to 2 ft the others lose 1 ft more."""
    line = plan.measure(legs("outside", 90, ft(10), ft(1), ft(10)))
    bands = list(line.bands(0.0, line.length_m, ft(1), ft(2)))
    assert [to_ft(band.near_m) for band in bands] == pytest.approx([9, 9])
    assert [to_ft2(band.area_m2) for band in bands] == pytest.approx([9, 9])
