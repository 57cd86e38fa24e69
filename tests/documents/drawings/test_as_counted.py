"""Drawings show what was counted: units by course, caps, lengths to scale, days."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import pytest

from service.core.rounding import CLOSE_M
from service.documents.drawings import Drawing
from service.documents.drawings.earth_bands import bands_of
from service.documents.drawings.elevation_rows import SIDE_MM, rows_of
from service.documents.drawings.graded_cells import cells_of
from service.documents.drawings.order_of_work import bars_of
from service.documents.drawings.unit_joints import cap_joints, leg_joints, unit_marks
from tests.given.drawn import NAMES, drawn, named_quote, paths_of, quote_of, requested, writing_of
from tests.given.graded import grid
from tests.given.quote_requests import level_wall
from tests.given.walls import ft

MM_PER_M = 1000


def shown(name: str, kind: str, wall: str | None = None) -> Drawing:
    """A drawing that is there."""
    drawing = drawn(named_quote(name), kind, wall)
    assert drawing is not None
    return drawing


@pytest.mark.parametrize("name", NAMES)
def test_units_between_joints_are_those_of_the_count(name: str) -> None:
    """Joints of a leg part as many units as were counted for it. Where its first one is cut, first
    and last may be parts of one unit: then one more piece is drawn, and what is drawn fits into the
    units that were counted."""
    for layout in named_quote(name).layouts:
        unit = layout.system.standard.face_length_m
        for course in layout.courses:
            for leg in (leg for run in course.runs for leg in run.legs):
                pieces = len(list(unit_marks(leg, course, unit))) + 1
                left = leg.face_length_m - sum(leg.covers_m)
                standard = leg.standard_units
                if layout.system.corner is None:
                    standard -= sum(cover == layout.system.standard.face_length_m
                                    for cover in leg.covers_m)  # fmt: skip
                if left <= CLOSE_M:
                    assert standard == 0
                elif course.number % 2 and leg.from_station_m == 0:
                    assert pieces == standard
                else:
                    assert pieces in (standard, standard + 1)
                    assert left <= standard * unit + CLOSE_M


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("name", NAMES)
def test_joints_of_a_course_are_one_path(name: str) -> None:
    """Each course has one path of upright strokes, as many as it has joints in all rows."""
    for layout in named_quote(name).layouts:
        rows, unit = rows_of(layout), layout.system.standard.face_length_m
        paths = paths_of(shown(name, "elevation", layout.name))
        for course in layout.courses:
            joints = [at for run in course.runs for leg in run.legs
                      for at in leg_joints(leg, course, unit)]  # fmt: skip
            for row in rows:
                here = [at for at in joints if row.from_m < at < row.to_m]
                low = row.y(course.elevation_m)
                high = row.y(course.elevation_m + layout.grid.course_m)
                expected = [[(row.x(at), low), (row.x(at), high)] for at in here]
                if here:
                    assert any(_same(path, expected) for path in paths), course.number


def _same(path: list[list[tuple[float, float]]], other: list[list[tuple[float, float]]]) -> bool:
    """Strokes alike to the hundredths of a mm that are printed."""
    return len(path) == len(other) and all(
        math.dist(p, q) < 0.02 for a, b in zip(path, other, strict=True)
        for p, q in zip(a, b, strict=True)
    )  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_cap_joints_part_the_caps_counted(name: str) -> None:
    """Between n caps of a leg there are n - 1 joints, within the leg."""
    for layout in named_quote(name).layouts:
        for run in layout.caps:
            assert layout.system.cap is not None
            for leg in run.legs:
                joints = list(cap_joints(leg, layout.system.cap.face_length_m))
                assert len(joints) == leg.units - 1
                assert all(leg.from_station_m < at < leg.to_station_m for at in joints)
            assert run.units == sum(leg.units for leg in run.legs)


@pytest.mark.parametrize("name", NAMES)
def test_elevation_is_to_scale(name: str) -> None:
    """The lengths of the rows times the scale are the wall's length, and so is what is drawn."""
    for layout in named_quote(name).layouts:
        rows = rows_of(layout)
        wide = sum(row.x(row.to_m) - SIDE_MM for row in rows)
        assert wide * rows[0].scale / MM_PER_M == pytest.approx(layout.length_m, abs=1e-9)
        texts = shown(name, "elevation", layout.name).svg
        found = re.search(r"scale 1:([0-9]+)", texts)
        assert found
        assert float(found[1]) == rows[0].scale


@pytest.mark.parametrize("name", [name for name in NAMES if name != "tiers"])
def test_plan_line_is_to_scale(name: str) -> None:
    """The heavy line of the plan is as long as the wall: chords of its curves are a little less."""
    (layout,) = named_quote(name).layouts
    drawing = shown(name, "plan")
    found = re.search(r"scale 1:([0-9]+)", drawing.svg)
    assert found
    heavy = re.search(r'<path d="(M[^"]*)" fill="none" stroke="#1a1a1a" stroke-width="0.6"',
                      drawing.svg)  # fmt: skip
    assert heavy
    points = [tuple(map(float, pair.split())) for pair in heavy[1][1:].split("L")]
    length = sum(math.dist(a, b) for a, b in pairwise(points))
    real = length * float(found[1]) / MM_PER_M
    assert real == pytest.approx(layout.length_m, rel=1e-3, abs=0.03)


def test_straight_wall_has_the_joints_of_a_hand_count() -> None:
    """40 ft of 16 in units: 30 units in odd courses, so 29 joints; in even ones, which begin with a
    half, 30 joints (both ends finished otherwise: open)."""
    quote = quote_of(requested(level_wall("40 ft")))
    (layout,) = quote.layouts
    assert layout.system.standard.face_length_m == pytest.approx(ft(1, 5.25), abs=0.03)
    unit = layout.system.standard.face_length_m
    count = math.ceil(ft(40) / unit - 1e-9)
    for course in layout.courses:
        (leg,) = course.runs[0].legs
        joints = leg_joints(leg, course, unit)
        whole = math.isclose(count * unit, ft(40), abs_tol=CLOSE_M)
        assert len(joints) == (count - 1 if course.number % 2 or not whole else count)
        assert joints[0] == pytest.approx(unit if course.number % 2 else unit / 2)


def test_grid_cells_have_the_volumes_counted() -> None:
    """Cut and fill of a grid as drawn cover the areas that were counted, the zero line between."""
    ground = grid([[1.0, -1.0], [1.0, -1.0]], 0.0, ft(10))
    cells = cells_of(ground)
    assert _area(cells.cut) == pytest.approx(ft(10) ** 2 / 2)
    assert _area(cells.fill) == pytest.approx(ft(10) ** 2 / 2)


def _area(outlines: tuple[tuple[tuple[float, float], ...], ...]) -> float:
    return sum(
        abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(o, (*o[1:], o[0]), strict=True))) / 2
        for o in outlines
    )


def test_bars_are_the_days_of_the_order_of_work() -> None:
    """Every phase, crew and machine has a row; bars end where its days end, crews are there for the
    days they are paid."""
    quote = named_quote("straight")
    phases = quote.phases
    assert phases is not None
    rows = {row.name: row for row in bars_of(quote, phases, writing_of(quote))}
    for phase in phases.phases:
        (((start, finish), look),) = rows[phase.title].spans
        assert (start, finish) == (phase.start_day - 1, phase.finish_day)
        assert look == ("critical" if phase.critical else "slack")
    for crew in phases.crews:
        there = sum(b - a for (a, b), _ in rows[crew.title].spans)
        assert there == pytest.approx(float(crew.days))
    for machine in phases.machines:
        spans = [span for span, _ in rows[machine.title].spans]
        assert spans == [(first - 1, last) for first, last in machine.needed]


def test_two_walls_have_rows_of_their_own() -> None:
    """Phases that are built wall by wall show each wall under the phase."""
    walls = [level_wall("20 ft", name=name) for name in ("east", "west")]
    first, second = walls
    request = requested(first)
    quote = quote_of({**request, "walls": [first, second]})
    assert quote.phases is not None
    rows = bars_of(quote, quote.phases, writing_of(quote))
    within = [row.name for row in rows if row.rank == "within"]
    expected = [each.wall for phase in quote.phases.phases for each in phase.walls]
    assert within == expected


@pytest.mark.parametrize("name", ["corner 90", "outside curve", "inside curve", "s curve"])
def test_bands_cover_the_ground_that_is_disturbed(name: str) -> None:
    """Cut and fill beside a wall, as drawn, add up to the disturbed area that was counted, sloped
    ends left out; chords of curves take or add a little."""
    quote = named_quote(name)
    assert quote.earthwork is not None
    (earth,), (layout,) = quote.earthwork.walls, quote.layouts
    drawn_m2 = _area(tuple(band.outline for band in bands_of(layout, earth, 0.1)))
    assert drawn_m2 == pytest.approx(earth.disturbed_m2 - earth.ends.area_m2, rel=0.01)
