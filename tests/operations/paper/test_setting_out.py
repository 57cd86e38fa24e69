"""Setting out, worked a second way: circles by their equation, trenches by hand."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.job.spec import Curve
from service.operations.paper.setting_out import (
    set_out_curve,
    set_out_curves,
    set_out_stations,
    string_level_m,
)
from tests.given.papers import subject_of

FT = 0.3048
INCH = 0.0254


@given(
    radius=st.floats(1.0, 60.0),
    angle=st.floats(5.0, 175.0).map(math.radians),
    units=st.sampled_from(["us", "metric"]),
)
def test_points_of_a_curve_lie_on_its_circle(radius: float, angle: float, units: str) -> None:
    """Points measured along the chord and square off it are as far from the center as the radius,
    the chord's ends too, and the middle ordinate is the height of the arc over the chord."""
    out = set_out_curve(1, Curve(side="outside", radius_m=radius, angle_rad=angle), 0.0, units)
    half = out.chord_m / 2
    below = math.sqrt(radius**2 - half**2)  # of the center, below the chord
    assert out.rise_m == pytest.approx(radius - below if angle < math.pi else radius + below)
    for point in out.points:
        across, over = point.along_m - half, point.ordinate_m + below
        assert math.hypot(across, over) == pytest.approx(radius, rel=1e-9)


@given(
    radius=st.floats(1.0, 60.0),
    angle=st.floats(5.0, 175.0).map(math.radians),
)
def test_points_of_a_curve_divide_it_evenly(radius: float, angle: float) -> None:
    """From one point to the next it is as far each time, and the stations say how far."""
    curve = Curve(side="inside", radius_m=radius, angle_rad=angle)
    out = set_out_curve(2, curve, 3.0, "us")
    places = [(0.0, 0.0), *((p.along_m, p.ordinate_m) for p in out.points), (out.chord_m, 0.0)]
    steps = [math.dist(a, b) for a, b in pairwise(places)]
    assert max(steps) == pytest.approx(min(steps), rel=1e-9)
    arc = 2 * radius * math.asin(steps[0] / (2 * radius))
    assert out.points[0].station_m == pytest.approx(3.0 + arc, rel=1e-9)


def test_a_quarter_circle_by_hand() -> None:
    """20 ft radius, 90 deg: chord 20 x sqrt(2) = 28.284 ft, middle ordinate 20 - 14.142 ft."""
    curve = Curve(side="outside", radius_m=20 * FT, angle_rad=math.pi / 2)
    out = set_out_curve(1, curve, 0.0, "us")
    assert out.chord_m == pytest.approx(28.2842712 * FT)
    assert out.rise_m == pytest.approx(5.8578644 * FT)


def test_stations_of_a_stepped_wall_are_those_of_its_layout() -> None:
    """The ground along the driveway's edge rises by 2 ft, so that its base, 6 in under it at least,
    climbs from the joint at -1 ft over -4 in and 4 in to 1 ft: three steps of a course of 8 in. The
    pad is 6 in thick and begins 6 in in front of the face; the string hangs on the first whole foot
    that is 6 in and more over 2 ft of ground."""
    subject = subject_of("driveway_edge")
    (layout,) = subject.quote.layouts
    rows = set_out_stations(layout, subject.quote.job)
    string = string_level_m(layout, "us")
    assert string == pytest.approx(3 * FT)
    stepped = [row for row in rows if row.step]
    assert [(row.step, row.courses) for row in stepped] == [(1, 6), (1, 5), (1, 4)]
    for row in rows:
        assert row.pad_top_m - row.trench_bottom_m == pytest.approx(6 * INCH)
        assert row.below_string_m == pytest.approx(string - row.trench_bottom_m)
        assert row.front_edge_m == pytest.approx(-6 * INCH)
        assert row.trench_bottom_m < row.front_m
    assert rows[0].pad_top_m == pytest.approx(-1 * FT)
    assert {round(row.pad_top_m / FT, 4) for row in rows} == {-1.0, -0.3333, 0.3333, 1.0}


def test_stations_are_round_between_what_changes() -> None:
    """A crew finds a station every 10 ft, the ends of parts and the far end too."""
    subject = subject_of("garden_wall")
    (layout,) = subject.quote.layouts
    stations = [row.station_m / FT for row in set_out_stations(layout, subject.quote.job)]
    assert stations == pytest.approx([0, 10, 20, 24])


def test_set_out_curves_names_the_part_of_the_plan() -> None:
    """The driveway's edge turns in its second part, from 24 ft on."""
    subject = subject_of("driveway_edge")
    (layout,) = subject.quote.layouts
    (curve,) = set_out_curves(layout, "us")
    assert curve.part == 2
    assert curve.from_m == pytest.approx(24 * FT)
    assert curve.to_m - curve.from_m == pytest.approx(20 * FT * math.pi / 4)
