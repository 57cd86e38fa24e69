"""What pushes behind a section, held against polygons cut by 10,000 planes."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon, box

from service.core.job.wall_system import WallSystem
from service.core.screening.picture import CutEdge
from service.core.screening.stack_case import StackSetting, stack_case
from service.core.screening.wall_section import Loading, Rise, Strip, UpperWall, WallSection
from tests.given.basis import ASSOCIATION
from tests.given.layered import ground
from tests.given.statics import LB_FT, PCF, PSF, deg
from tests.given.walls import ft, inch, system, unit
from tests.given.wedge_search import FAR, Searched

COURSE, DEPTH, STEP = 8 / 12, 1.0, 1 / 12
BATTER = STEP / COURSE
LB_KG = 0.45359237
CAP = unit("cap", face=inch(12), height=inch(4), depth=inch(12), weight_kg=50 * LB_KG)


def wall_of(step_in: float) -> WallSystem:
    """Units whose courses step back so far."""
    return replace(system(setback=inch(step_in), cap=CAP), cap_overhang_m=inch(1))


WALL = wall_of(1)
SETTING = ground(ASSOCIATION, 30.0, 120.0, WALL)
near = pytest.approx


def pushed(section: WallSection, setting: StackSetting = SETTING) -> tuple[float, float, float]:
    """Soil, upper walls and loads, lb/ft."""
    found = stack_case(section, setting).pushed
    return found.soil_n_m / LB_FT, found.tiers_n_m / LB_FT, found.surcharge_n_m / LB_FT


def lower(courses: int, load: Loading) -> WallSection:
    """A wall that holds soil up to its top course."""
    height = courses * inch(8)
    return WallSection(station_m=0.0, base=0, top_joint=courses, soil_m=height, load=load)


def searched(
    bodies: list[tuple[Polygon, float]],
    *loads: tuple[LineString, float],
    batter: float = BATTER,
) -> float:
    """The push that the search finds in soil of 30 deg."""
    return Searched(bodies, loads, 30.0, 20.0, batter).push()


def under(height: float, *points: tuple[float, float]) -> Polygon:
    """Ground between the leaning back and a line of points."""
    top = (height * BATTER, height)
    line = [top, *points]
    return Polygon([(0, 0), *line, (FAR, line[-1][1]), (FAR, -1.0), (0, -1.0)])


@given(
    courses=st.integers(2, 9),
    starts=st.floats(0, 8),
    psf=st.sampled_from([50, 100, 250, 500]),
    even=st.sampled_from([0, 40]),
)
@settings(max_examples=2, deadline=None)
def test_push_of_a_load_is_that_of_the_search(
    courses: int, starts: float, psf: int, even: int
) -> None:
    """A load that begins anywhere, over a surcharge everywhere, within 0.1 %."""
    height = courses * COURSE
    load = Loading(
        surcharge_pa=even * PSF,
        back_slope=0.0,
        strips=(Strip(from_m=ft(DEPTH + starts), load_pa=psf * PSF),),
    )
    ground_ = under(height)
    at = max(starts, height * BATTER)
    lines = (
        (LineString([(height * BATTER, height), (FAR, height)]), even),
        (LineString([(at, height), (FAR, height)]), psf),
    )
    soil, _, loads = pushed(lower(courses, load))
    assert soil == near(searched([(ground_, 120)]), rel=1e-3)
    assert soil + loads == near(searched([(ground_, 120)], *lines), rel=1e-3)


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("friction", "height", "starts", "psf"),
    [(24, 10 / 3, 4.17, 480), (40, 4, 3.2, 3600), (30, 4, 5.8, 5000)],
)
def test_push_of_a_load_far_behind_is_that_of_the_search(
    friction: int, height: float, starts: float, psf: float
) -> None:
    """Where the loaded wedge is about to let go its planes lie between two that push far less."""
    load = Loading(
        surcharge_pa=0.0,
        back_slope=0.0,
        strips=(Strip(from_m=ft(DEPTH + starts), load_pa=psf * PSF),),
    )
    section = replace(lower(5, load), soil_m=ft(height))
    line = LineString([(starts, height), (FAR, height)])
    expected = Searched(
        [(under(height), 120.0)], [(line, psf)], friction, friction * 2 / 3, BATTER
    ).push()
    soil, _, loads = pushed(section, ground(ASSOCIATION, friction, 120.0, WALL))
    assert soil + loads == near(expected, rel=1e-3)


@given(courses=st.integers(2, 9), starts=st.floats(0, 8), slope=st.floats(0.05, 0.5))
@settings(max_examples=2, deadline=None)
def test_push_of_rising_ground_is_that_of_the_search(
    courses: int, starts: float, slope: float
) -> None:
    """A bank that begins anywhere behind level ground is soil, within 0.1 %."""
    height = courses * COURSE
    rise = Rise(from_m=ft(DEPTH + starts), slope=slope)
    load = Loading(surcharge_pa=0.0, back_slope=0.0, rises=(rise,))
    at = max(starts, height * BATTER)
    bank = under(height, (at, height), (FAR, height + slope * (FAR - at)))
    assert pushed(lower(courses, load))[0] == near(searched([(bank, 120)]), rel=1e-3)


def upper_load(courses: int, gap: float, front: float, buried: float, psf: float) -> Loading:
    """An upper wall so far behind the face below, its front grade so high over the back grade
    below, with soil up to its top and a drive on it."""
    above = Loading(surcharge_pa=psf * PSF, back_slope=0.0)
    section = replace(lower(courses, above), buried_m=ft(buried))
    wall = UpperWall(
        name="upper",
        offset_m=ft(gap),
        underside_m=ft(front - buried),
        front_m=ft(front),
        section=section,
    )
    return Loading(surcharge_pa=0.0, back_slope=0.0, upper=wall)


@given(
    courses=st.integers(2, 8),
    above=st.integers(1, 8),
    gap=st.floats(0.1, 8),
    front=st.floats(0, 1),
    psf=st.sampled_from([0, 100, 250]),
    step_in=st.sampled_from([1, 3]),
)
@example(courses=2, above=6, gap=0.5, front=0.0, psf=0, step_in=3)
@example(courses=4, above=1, gap=1.0, front=0.0, psf=0, step_in=1)
@settings(max_examples=2, deadline=None)
def test_push_of_an_upper_wall_is_that_of_the_search(
    courses: int, above: int, gap: float, front: float, psf: int, step_in: int
) -> None:
    """Courses step by step, the cap, the soil behind them and a load on it, within 0.1 %."""
    height, buried, step = courses * COURSE, 0.5, step_in / 12
    batter, setting = step / COURSE, ground(ASSOCIATION, 30.0, 120.0, wall_of(step_in))
    face = gap + courses * step  # from the heel
    load = upper_load(above, face + DEPTH, front, buried, psf)
    grade, low = height + front, height + front - buried
    top = low + above * COURSE
    bodies = [
        (Polygon([(0, 0), (height * batter, height), (face, grade), (face, -1), (0, -1)]), 120.0),
        (box(face, -1, face + DEPTH, low), 120.0),
    ]
    for joint in range(above):
        front_x, level = face + joint * step, low + joint * COURSE
        bodies.append((box(front_x, level, front_x + DEPTH, level + COURSE), 120.0))
        bodies.append((box(front_x + DEPTH, level, FAR, level + COURSE), 120.0))
    bodies.append((box(face + DEPTH, -1, FAR, low), 120.0))
    cap = face + (above - 1) * step - 1 / 12
    bodies.append((box(cap, top, cap + 1, top + 4 / 12), 50 / (4 / 12)))
    start = face + DEPTH + above * COURSE * batter
    loads = [(LineString([(start, top), (FAR, top)]), psf)] if psf else []
    soil, tiers, live = pushed(lower(courses, load), setting)
    own = Polygon(
        [(0, 0), (height * batter, height), (face, grade), (FAR, grade), (FAR, -1), (0, -1)]
    )
    assert soil == near(searched([(own, 120.0)], batter=batter), rel=1e-3)
    assert soil + tiers == near(searched(bodies, batter=batter), rel=1e-3)
    assert soil + tiers + live == near(searched(bodies, *loads, batter=batter), rel=1e-3)


@given(
    height=st.floats(2, 8),
    share=st.floats(0.17, 1.5),
    slope=st.sampled_from([0.5, 2 / 3, 1.0, 1.5]),
    psf=st.sampled_from([0, 200, 5000]),
    fill=st.sampled_from([28, 34, 38]),
)
@example(height=4.8, share=0.18, slope=1.5, psf=1000, fill=38)
@settings(max_examples=2, deadline=None)
def test_push_of_two_soils_is_that_of_the_search(
    height: float, share: float, slope: float, psf: int, fill: int
) -> None:
    """Fill of 120 pcf before ground of 26 deg and 125 pcf, cut off a sixth of the height or more
    behind the heel, with a load on both, within 0.1 %."""
    soils = replace(
        SETTING.soils,
        friction_rad=deg(26),
        weight_n_m3=125 * PCF,
        fill_friction_rad=deg(fill),
        fill_wall_friction_rad=deg(fill) * 2 / 3,
        fill_weight_n_m3=120 * PCF,
    )
    floor = max(height * share, height * BATTER)
    setting = replace(SETTING, soils=soils, cut=CutEdge(floor_m=ft(floor), slope=slope))
    load = Loading(surcharge_pa=psf * PSF, back_slope=0.0)
    section = replace(lower(math.ceil(height / COURSE), load), soil_m=ft(height))
    meets = floor + height / slope
    other = Polygon([(floor, 0), (meets, height), (FAR, height), (FAR, -1), (floor, -1)])
    courses = math.ceil(height / COURSE)
    start = max(height * BATTER, (courses - 1) * STEP)
    line = LineString([(start, height), (FAR, height)])
    expected = Searched(
        [(under(height), 120.0), (other, 5.0)],
        [(line, psf)] if psf else [],
        fill,
        fill * 2 / 3,
        BATTER,
        edge=(floor, slope),
        edge_deg=26,
    ).push()
    soil, _, live = pushed(section, setting)
    assert soil + live == near(expected, rel=1e-3)
