"""Trial wedges against the sheet, closed forms, and a search over planes by polygon clipping."""

from __future__ import annotations

import math

import pytest

from service.core.screening.formulas.ground_lines import loaded
from service.core.screening.formulas.wedge import NO_WEDGE, Friction, Ground
from service.core.screening.formulas.wedge_slice import WedgeSlice
from tests.given.statics import LB_FT, PCF, PSF
from tests.given.walls import ft


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
