"""Trial wedges against the sheet, closed forms, and a search over planes by polygon clipping."""

from __future__ import annotations

import math

import pytest

from service.core.screening.formulas.earth_pressure import PressureLimitError
from service.core.screening.formulas.ground_lines import loaded
from service.core.screening.formulas.wedge import NO_WEDGE, Friction, Ground
from service.core.screening.formulas.wedge_slice import WedgeSlice
from tests.given.statics import LB_FT, PCF, PSF
from tests.given.walls import ft

ROUGH = Friction(fill=0.5, native=0.5, back_rad=0.0, batter=0.0)
# The level at its end over the offset of that is a float less than the slope.
STEEP, END_M = 1.9, 0.55


def even(
    phi: float, omega: float, beta: float, height: float, pcf: float, psf: float
) -> tuple[Ground, float]:
    """One soil under an even slope and load; the share of the push that is level."""
    batter = math.tan(math.radians(omega))
    top = ft(height) * batter
    slope = math.tan(math.radians(beta))
    back = WedgeSlice(0.0, top, 0.0, 1 / batter, pcf * PCF)
    behind = WedgeSlice(top, math.inf, ft(height), slope, pcf * PCF, psf * PSF)
    tangent, delta = math.tan(math.radians(phi)), math.radians(phi) * 2 / 3
    friction = Friction(fill=tangent, native=tangent, back_rad=delta, batter=batter)
    level = math.cos(delta - math.radians(omega))
    return Ground(slices=(back, behind), native=(), friction=friction), level


def test_loaded_adds_no_ground() -> None:
    """A strip from 1 to 3 m on a line of heavy ground that rises 1 in 8: its load, over that part
    of the line, without weight."""
    line = [
        WedgeSlice(0.0, 2.0, 1.0, 0.125, 18000.0),
        WedgeSlice(2.0, math.inf, 1.25, 0.0, 18000.0),
    ]
    assert loaded(line, 1.0, 3.0, 5000.0) == [
        WedgeSlice(1.0, 2.0, 1.125, 0.125, 0.0, 5000.0),
        WedgeSlice(2.0, 3.0, 1.25, 0.0, 0.0, 5000.0),
    ]


@pytest.mark.parametrize(
    ("case", "expected"),
    [
        ((30, 5.355825, 0, 4, 120, 100), 354.756),
        ((30, 7.125016, 18.434949, 6, 120, 50), 814.718),
    ],
)
def test_largest_gives_the_wedges_of_the_sheet(
    case: tuple[float, float, float, float, float, float], expected: float
) -> None:
    """Even slope and load: 354.756 and 814.718 lb/ft along the push."""
    ground, level = even(*case)
    found = ground.largest(0.0, 0.0).push_n_m / level / LB_FT
    assert found == pytest.approx(expected, abs=0.01)


def test_largest_tries_planes_along_a_line_without_end() -> None:
    """The end of a bench is seen at 2 in 1 from the heel, the slope of a line without end: along
    that line a plane never runs behind it, and what it pushes is that of its fill alone."""
    bench = WedgeSlice(0.0, 1.0, 2.0, 0.0, 18000.0)
    behind = WedgeSlice(1.0, math.inf, 2.0, 0.0, 18000.0)
    line = WedgeSlice(0.0, math.inf, 1.0, 2.0, 0.0)
    friction = Friction(fill=0.5, native=0.6, back_rad=0.0, batter=0.0)
    found = Ground(slices=(bench, behind), native=(line,), friction=friction).largest(0.0, 0.0)
    assert 0 < found.push_n_m < 18000.0 * 2**2 / 2


@pytest.mark.parametrize("weight", [18000.0, 1e-6])
def test_push_of_level_ground_is_that_of_its_weight(weight: float) -> None:
    """1 m of ground, be it ever so light, without end or 2 m wide: friction of 1 in 2 has a sine of
    1 / √5, and (√5 - 1) / (√5 + 1) of half its weight push, over a plane of (√5 + 1) / 2."""
    root = math.sqrt(5)
    for to_m in (2.0, math.inf):
        level = WedgeSlice(0.0, to_m, 1.0, 0.0, weight)
        found = Ground(slices=(level,), native=(), friction=ROUGH).largest(0.0, 0.0)
        assert found.push_n_m == pytest.approx(
            weight / 2 * (root - 1) / (root + 1), rel=1e-9, abs=0
        )
        assert found.plane == pytest.approx((root + 1) / 2, rel=1e-6)
        assert found.native_share == 0.0


@pytest.mark.parametrize("ends", [(0.6,), (0.617,), (0.619,), (0.63,), (0.618, 0.6186)])
@pytest.mark.parametrize("weight", [18000.0, 1e-6])
def test_top_of_a_push_lies_close_to_a_plane_at_which_something_ends(
    ends: tuple[float, ...], weight: float
) -> None:
    """The same ground, and what weighs nothing up to where the top plane leaves it, (√5 - 1) / 2 =
    0.618 m behind, or nearly: the top is found in front of that and behind."""
    root = math.sqrt(5)
    level = WedgeSlice(0.0, math.inf, 1.0, 0.0, weight)
    nothing = [WedgeSlice(0.0, end_m, 1.0, 0.0, 0.0) for end_m in ends]
    found = Ground(slices=(level, *nothing), native=(), friction=ROUGH).largest(0.0, 0.0)
    push = weight / 2 * (root - 1) / (root + 1)
    assert found.push_n_m == pytest.approx(push, rel=1e-12, abs=0)
    assert found.plane == pytest.approx((root + 1) / 2, rel=1e-6)


def test_ground_without_end_rises_no_steeper_than_its_friction() -> None:
    """1 in 2 just stands: cos² of that angle, 0.8, of half its weight push. 0.6 in 1 doesn't."""
    level, just, steep = (
        WedgeSlice(0.0, math.inf, 1.0, slope, 18000.0) for slope in (0.0, 0.5, 0.6)
    )
    found = Ground(slices=(just,), native=(), friction=ROUGH).largest(0.0, 0.0)
    assert found.push_n_m == pytest.approx(9000 * 0.8, rel=1e-6)
    for slices in ((level, steep), (steep, level)):
        with pytest.raises(PressureLimitError, match=r"rises 0\.6 in 1 is .* friction, 0\.5:"):
            Ground(slices=slices, native=(), friction=ROUGH).largest(0.0, 0.0)


def test_plane_runs_to_the_end_of_a_heavy_load() -> None:
    """100 kPa from 0.2 to 0.5 m behind a point, on ground 1 m over it: flatter planes get
    no more of it. Over one of 2 in 1 lie 4,500 and 30,000 N/m: (2 - 1/2) / (1 + 1) of them push."""
    ground = WedgeSlice(3.0, math.inf, -1.0, 0.0, 18000.0)
    load = WedgeSlice(3.2, 3.5, -1.0, 0.0, 0.0, 100000.0)
    found = Ground(slices=(ground, load), native=(), friction=ROUGH).largest(3.0, -2.0)
    assert found.plane == pytest.approx(2.0, rel=1e-12)
    assert found.push_n_m == pytest.approx(34500 * 0.75, rel=1e-12)


def behind_a_cut(slope: float, end_m: float, fill: float, native: float) -> Ground:
    """Ground as high as a cut from the point on rises up to its end."""
    top = slope * end_m
    cut = WedgeSlice(0.0, end_m, 0.0, slope, 0.0)
    beyond = WedgeSlice(end_m, math.inf, top, 0.0, 0.0)
    ground = WedgeSlice(0.0, math.inf, top, 0.0, 18000.0)
    friction = Friction(fill=fill, native=native, back_rad=0.0, batter=0.0)
    return Ground(slices=(ground,), native=(cut, beyond), friction=friction)


def test_plane_runs_just_under_a_cut_where_that_ground_is_weaker() -> None:
    """1 in 1 behind fill of 0.8: ground of 0.3, all of it behind the cut, would slide on a steeper
    plane: of W = 9,000 / t push (t - 0.3) / (1 + 0.3 t) where t comes as near to 1 as can be."""
    found = behind_a_cut(1.0, 1.0, 0.8, 0.3).largest(0.0, 0.0)
    assert 1 - 1e-12 < found.plane < 1
    assert found.native_share == 1.0
    assert found.push_n_m == pytest.approx(9000 * 0.7 / 1.3, rel=1e-6)


@pytest.mark.parametrize(("slope", "end_m"), [(2.0, 0.5), (STEEP, END_M)])
def test_plane_runs_along_a_cut_where_the_fill_is_weaker(slope: float, end_m: float) -> None:
    """About 2 in 1 behind fill of 0.3, which would slide on a flatter plane, ground of 0.8: the
    plane runs along the cut, in the fill, or as near to it as can be."""
    found = behind_a_cut(slope, end_m, 0.3, 0.8).largest(0.0, 0.0)
    assert found.plane == pytest.approx(slope, rel=1e-12)
    assert found.native_share == 0.0
    weight = 18000 * (slope * end_m) ** 2 / 2 / slope
    assert found.push_n_m == pytest.approx(weight * (slope - 0.3) / (1 + 0.3 * slope), rel=1e-6)


def test_ground_behind_a_steep_cut_counts_up_to_its_end() -> None:
    """A cut of 2 in 1 from 0.25 m behind and 0.5 m up to 0.4 m behind: flatter planes than that run
    behind all of it, under 18,000 (0.15 - t (0.4² - 0.25²) / 2) of 9,000 / t; steeper ones run over
    it. Ground of 0.3, fill of 0.8."""

    def native(plane: float) -> float:
        return 18000 * (0.15 - plane * (0.4**2 - 0.25**2) / 2) if plane < 2 else 0.0

    def push(plane: float) -> float:
        weight = 9000 / plane
        held = (0.8 * (weight - native(plane)) + 0.3 * native(plane)) / weight
        return weight * (plane - held) / (1 + plane * held)

    top = WedgeSlice(0.0, math.inf, 1.0, 0.0, 18000.0)
    line = WedgeSlice(0.25, 0.4, 0.5, 2.0, 0.0)
    friction = Friction(fill=0.8, native=0.3, back_rad=0.0, batter=0.0)
    found = Ground(slices=(top,), native=(line,), friction=friction).largest(0.0, 0.0)
    assert found.plane < 2
    assert found.push_n_m == pytest.approx(push(found.plane))
    assert found.push_n_m == pytest.approx(max(push(0.3 + step / 1000) for step in range(1, 4000)))
    assert found.native_share == pytest.approx(native(found.plane) * found.plane / 9000)


def test_no_wedge_slides_on_a_back_flatter_than_friction() -> None:
    """A back of 1 in 3, friction of 1 in 2, ground 2 m high from 3 m behind on: every plane that
    slides lies in front of the back."""
    ground = WedgeSlice(3.0, math.inf, 2.0, 0.0, 18000.0)
    friction = Friction(fill=0.5, native=0.5, back_rad=0.0, batter=3.0)
    assert Ground(slices=(ground,), native=(), friction=friction).largest(0.0, 0.0) == NO_WEDGE


def test_plane_leaves_ground_that_lies_under_fill() -> None:
    """1 m of ground of 0.4 under 1 m of fill of 0.8: a plane of t leaves it 1 / t behind, and over
    that lie 1.5 of 2 parts. Three quarters of 0.4 and one of 0.8 are 0.5, whatever the plane."""
    root = math.sqrt(5)
    top = WedgeSlice(0.0, math.inf, 2.0, 0.0, 18000.0)
    line = WedgeSlice(0.0, math.inf, 1.0, 0.0, 0.0)
    friction = Friction(fill=0.8, native=0.4, back_rad=0.0, batter=0.0)
    found = Ground(slices=(top,), native=(line,), friction=friction).largest(0.0, 0.0)
    assert found.native_share == pytest.approx(0.75)
    assert found.push_n_m == pytest.approx(36000 * (root - 1) / (root + 1))


def test_plane_leaves_ground_that_falls_under_fill() -> None:
    """Ground of 0.4 falls from 1 m to nothing, 0.2 to 2.2 m behind, under fill of 0.8, 2 m high: a
    plane of t leaves it m = 1.1 / (t + 1/2) behind, where 1 m - (m - 0.2) / 2 are t m, and over it
    lie 18,000 (2 (m - 0.2) - t (m² - 0.2²) / 2) of 36,000 / t."""

    def native(plane: float) -> float:
        end = 1.1 / (plane + 0.5)
        return 18000 * (2 * (end - 0.2) - plane * (end**2 - 0.2**2) / 2)

    def push(plane: float) -> float:
        weight = 36000 / plane
        held = (0.8 * (weight - native(plane)) + 0.4 * native(plane)) / weight
        return weight * (plane - held) / (1 + plane * held)

    top = WedgeSlice(0.0, math.inf, 2.0, 0.0, 18000.0)
    line = WedgeSlice(0.2, 2.2, 1.0, -0.5, 0.0)
    friction = Friction(fill=0.8, native=0.4, back_rad=0.0, batter=0.0)
    found = Ground(slices=(top,), native=(line,), friction=friction).largest(0.0, 0.0)
    assert found.push_n_m == pytest.approx(push(found.plane))
    assert found.push_n_m == pytest.approx(max(push(0.4 + step / 1000) for step in range(1, 4000)))
    assert found.native_share == pytest.approx(native(found.plane) * found.plane / 36000)


def test_no_wedge_slides_where_no_ground_lies_over_the_point() -> None:
    """Level ground, a point of the back 1 m over it."""
    level = WedgeSlice(0.0, math.inf, 1.0, 0.0, 18000.0)
    friction = Friction(fill=0.5, native=0.5, back_rad=0.0, batter=0.0)
    assert Ground(slices=(level,), native=(), friction=friction).largest(0.0, 2.0) == NO_WEDGE


def test_largest_is_the_top_of_a_push() -> None:
    """Soil of 20 kN/m3 up to 1 m, friction of 0.2, less 8,000 / 1.04 N/m near a back that leans
    1 in 1: over a plane t lie W = 10,000 / t - 8,000 / 1.04, and push level with W (t - 0.2) /
    (1.2 - 0.8 t). That has its top at 0.75: 66,000 / 11.7 N/m push with 0.55 / 0.6 of it. The push
    is found to 1e-9, its plane to 1e-7: near its top it changes by the square of that."""
    soil = WedgeSlice(0.0, math.inf, 1.0, 0.0, 20000.0)
    taken_off = WedgeSlice(0.0, 0.2, 1.0, 0.0, 0.0, -40000.0 / 1.04)
    friction = Friction(fill=0.2, native=0.2, back_rad=0.0, batter=1.0)
    found = Ground(slices=(soil, taken_off), native=(), friction=friction).largest(0.0, 0.0)
    assert found.push_n_m == pytest.approx(66000 / 11.7 * 0.55 / 0.6, rel=1e-9)
    assert found.plane == pytest.approx(0.75, abs=1e-7)
