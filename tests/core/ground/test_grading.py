"""Graded areas: grids, surveys and average depths, cut and fill apart."""

from __future__ import annotations

import math
import random
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from service.core.errors import QuoteFaultsError
from service.core.ground.grading import measure_grading
from service.core.ground.prism import Prism, above_zero, add_up
from service.core.job.graded import (
    AverageDepth,
    Beside,
    Coordinates,
    FinishedPlane,
    Grading,
    SurveyedArea,
    WallSide,
)
from service.core.job.spec import Station
from service.core.job.topsoil import Topsoil
from service.core.measure import METRIC
from service.operations.quoting.survey_text import COLUMNS, read_survey
from tests.given.graded import (
    SQUARE,
    graded,
    grid,
    places,
    scattered,
    star,
    survey_of,
    surveyed,
)

DEPTHS = st.floats(-5, 5, allow_nan=False).map(lambda depth: round(depth, 3))


def faults_of(area: SurveyedArea) -> list[tuple[str, tuple[str | int, ...]]]:
    """Code and place of each fault of a surveyed area."""
    with pytest.raises(QuoteFaultsError) as caught:
        graded(area)
    return [(fault.code, fault.at) for fault in caught.value.faults]


# --- prisms ----------------------------------------------------------------------------------


def test_above_zero_is_a_pyramid_over_one_corner() -> None:
    """Depths 1, -1, -1 on 12 m2: a quarter of the area, a third of 1 m high on average."""
    volume, area = above_zero(12.0, (1.0, -1.0, -1.0))
    assert area == pytest.approx(12 / 4)
    assert volume == pytest.approx(12 / 4 / 3)


def test_above_zero_leaves_the_pyramid_below_out() -> None:
    """Depths 1, 1, -1 on 12 m2: net 4, the pyramid below is 1, so 5 lie above on 9 m2."""
    volume, area = above_zero(12.0, (1.0, -1.0, 1.0))
    assert area == pytest.approx(9)
    assert volume == pytest.approx(5)


@given(st.tuples(DEPTHS, DEPTHS, DEPTHS))
def test_add_up_never_nets(depths: tuple[float, float, float]) -> None:
    """Cut less fill is area x mean depth, and neither is negative."""
    moved = add_up([Prism(6.0, depths)])
    assert moved.cut_m3 >= 0
    assert moved.fill_m3 >= 0
    assert moved.cut_m3 - moved.fill_m3 == pytest.approx(2 * math.fsum(depths), abs=1e-12)
    assert moved.cut_m2 + moved.fill_m2 <= 6 + 1e-12


@given(st.tuples(DEPTHS, DEPTHS, DEPTHS), st.floats(0.05, 0.95))
def test_add_up_does_not_change_when_a_triangle_is_split(
    depths: tuple[float, float, float], share: float
) -> None:
    """A triangle split from a corner to any point of the far side moves the same earth."""
    a, b, c = depths
    middle = b + share * (c - b)
    whole = add_up([Prism(1.0, depths)])
    parts = add_up([Prism(share, (a, b, middle)), Prism(1 - share, (a, middle, c))])
    assert parts.cut_m3 == pytest.approx(whole.cut_m3, abs=1e-9)
    assert parts.fill_m3 == pytest.approx(whole.fill_m3, abs=1e-9)


# --- grids -----------------------------------------------------------------------------------


def test_measure_grid_keeps_cut_and_fill_of_one_cell_apart() -> None:
    """100 m2 with corners +1, +1, -1, -1: 25 cut and 25 fill, not nothing."""
    area = graded(grid([[1, 1], [-1, -1]]))
    assert (area.cut_m3, area.fill_m3) == pytest.approx((25, 25))
    assert (area.cut_m2, area.fill_m2) == pytest.approx((50, 50))
    assert area.area_m2 == 100


def test_measure_grid_weighs_levels_by_their_cells() -> None:
    """All cut: A/4 x (sum of corners + 2 sides + 4 inner): 25 x (10 + 2 x 12 + 4 x 9) = 1750."""
    area = graded(grid([[1, 2, 3], [2, 9, 4], [2, 4, 4]]))
    assert area.cut_m3 == pytest.approx(25 * (10 + 2 * 12 + 4 * 9))
    assert area.fill_m3 == 0


def test_measure_grid_takes_rows_another_distance_apart() -> None:
    """Columns 10 m and rows 4 m apart: cells of 40 m2."""
    area = graded(grid([[1, 1, 1], [1, 1, 1]], spacing=10, row_spacing=4))
    assert area.area_m2 == 80
    assert area.cut_m3 == pytest.approx(80)


def test_measure_grid_prefers_no_diagonal() -> None:
    """A saddle with corners +1, -1, +1, -1 has as much cut as fill, turned or not."""
    one, other = graded(grid([[1, -1], [-1, 1]])), graded(grid([[-1, 1], [1, -1]]))
    assert one.cut_m3 == pytest.approx(one.fill_m3)
    assert one.cut_m3 == pytest.approx(other.cut_m3)
    # four triangles about a center at 0, each half cut: 25 m2 with depths 1, 0 and -1
    assert one.cut_m3 == pytest.approx(4 * 25 / 2 / 3)


@given(st.lists(st.lists(DEPTHS, min_size=4, max_size=4), min_size=3, max_size=5), st.data())
def test_measure_grid_does_not_change_when_it_is_split(
    levels: list[list[float]], data: st.DataObject
) -> None:
    """Two grids that share a row move what the whole one moves."""
    row = data.draw(st.integers(1, len(levels) - 2))
    whole, above, below = (graded(grid(g)) for g in (levels, levels[: row + 1], levels[row:]))
    assert above.cut_m3 + below.cut_m3 == pytest.approx(whole.cut_m3, abs=1e-9)
    assert above.fill_m3 + below.fill_m3 == pytest.approx(whole.fill_m3, abs=1e-9)


def test_measure_grid_refuses_rows_that_differ() -> None:
    """Each row and each grid that doesn't match is named."""
    with pytest.raises(QuoteFaultsError) as caught:
        graded(grid([[1, 1], [1, 1, 1], [1, 1]], [[0, 0], [0]]))
    found = [(fault.code, fault.at) for fault in caught.value.faults]
    assert found == [
        ("grid-uneven", ("grid", "existing", 1)),
        ("grid-uneven", ("grid", "finished", 1)),
        ("grid-uneven", ("grid", "finished")),
    ]


def test_measure_grid_refuses_less_than_a_cell() -> None:
    """One row is no area."""
    with pytest.raises(QuoteFaultsError) as caught:
        graded(grid([[1, 2, 3]]))
    assert [fault.at for fault in caught.value.faults] == [("grid", "existing")]


# --- average depth ---------------------------------------------------------------------------


@pytest.mark.parametrize(("work", "cut", "fill"), [("cut", 30, 0), ("fill", 0, 30)])
def test_measure_grading_takes_an_average_depth_as_one_kind(
    work: str, cut: float, fill: float
) -> None:
    """120 m2 at 0.25 m are 30 m3 of the kind stated, and that is an assumption."""
    depth = AverageDepth(area_m2=120, depth_m=0.25, work="cut" if work == "cut" else "fill")
    area = graded(depth)
    assert (area.cut_m3, area.fill_m3) == pytest.approx((cut, fill))
    assert [assumption.field for assumption in area.assumptions] == ["average_depth"]


def test_measure_grading_leaves_topsoil_out_of_cut_and_fill() -> None:
    """0.15 m stripped and 0.10 m put back: cut of 0.25 m is 0.20 m, fill of 0.25 m is 0.30 m."""
    topsoil = Topsoil(strip_m=0.15, replace_m=0.10)
    cut = graded(AverageDepth(area_m2=100, depth_m=0.25, work="cut"), topsoil)
    fill = graded(AverageDepth(area_m2=100, depth_m=0.25, work="fill"), topsoil)
    assert cut.cut_m3 == pytest.approx(20)
    assert fill.fill_m3 == pytest.approx(30)
    assert cut.stripped_m3 == pytest.approx(15)
    assert cut.replaced_m3 == pytest.approx(10)


@pytest.mark.parametrize(
    ("strip", "put_back", "said"),
    [(0.15, 0.0, "0.15 m stripped, 0 m put back"), (0.0, 0.1, "0 m stripped, 0.1 m put back")],
)
def test_measure_grading_says_what_is_stripped_and_put_back(
    strip: float, put_back: float, said: str
) -> None:
    """In words, where either is done."""
    topsoil = Topsoil(strip_m=strip, replace_m=put_back)
    area = graded(AverageDepth(area_m2=100, depth_m=0.25, work="cut"), topsoil)
    assert f"topsoil on 100 m2 where ground changes: {said}" in area.how[-1]


@pytest.mark.parametrize(("side", "wall"), [("behind", "low"), ("front", None)])
def test_measure_grading_names_the_wall_that_the_area_lies_behind(
    side: WallSide, wall: str | None
) -> None:
    """Only fill behind a wall comes up with its courses."""
    beside = Beside(
        wall="low",
        side=side,
        from_station=Station(kind="at"),
        to_station=Station(kind="end"),
        from_m=0.0,
    )
    ground = AverageDepth(area_m2=100, depth_m=0.25, work="cut")
    found = measure_grading(Grading(name="yard", ground=ground, beside=beside), METRIC)
    assert found.behind == wall


def test_measure_grading_leaves_untouched_ground_its_topsoil() -> None:
    """Where existing and finished ground are the same, nothing is stripped."""
    area = graded(grid([[1, 1, 0, 0], [1, 1, 0, 0]]), Topsoil(strip_m=0.1, replace_m=0.1))
    assert area.stripped_m3 == pytest.approx(0.1 * 200)


# --- surveys ---------------------------------------------------------------------------------


def test_measure_survey_is_exact_on_a_plane() -> None:
    """Ground 1 + e/20 - n/10 over 0 on 20 x 20 m: cut and fill of two wedges by hand."""
    area = graded(surveyed(scattered(lambda e, n: 1 + e / 20 - n / 10)))
    # fill north of n = 10 + e/2: the integral of (10 - e/2)²/20 over e; level in the middle: 0.5
    fill = 2 * 10**3 / 3 / 20
    net = 400 * 0.5
    assert area.area_m2 == pytest.approx(400, rel=1e-12)
    assert area.fill_m3 == pytest.approx(fill, rel=1e-9)
    assert area.cut_m3 == pytest.approx(net + fill, rel=1e-9)


def test_measure_survey_meets_its_own_plane_with_nothing() -> None:
    """Ground that is the finished plane already has neither cut nor fill nor stripped topsoil."""
    fall = FinishedPlane(
        level_m=5.0,
        place=Coordinates(easting_m=20.0, northing_m=20.0),
        fall=0.02,
        azimuth_rad=math.pi / 2,
    )
    points = scattered(lambda e, _: 5.0 - 0.02 * (e - 20))
    area = graded(surveyed(points, finished=fall), Topsoil(strip_m=0.1, replace_m=0.1))
    assert (area.cut_m3, area.fill_m3, area.stripped_m3) == (0, 0, 0)


def test_measure_survey_reads_the_fall_as_an_azimuth() -> None:
    """A plane that falls 10 % toward north lies 2 m lower 20 m north: 400 m2 x 1 m of cut."""
    fall = FinishedPlane(level_m=0.0, place="1", fall=0.1, azimuth_rad=0.0)
    area = graded(surveyed([(e, n, 0.0) for e, n in SQUARE], finished=fall))
    assert area.cut_m3 == pytest.approx(400)
    assert area.highest_finished_m == 0.0


@pytest.mark.parametrize(("place", "east", "north"), [((3.0, 7.0), 7, 3), (None, 10, 10)])
def test_measure_survey_lets_the_plane_fall_from_its_place(
    place: tuple[float, float] | None, east: float, north: float
) -> None:
    """A plane of 5 m at a place, by default at 0, that falls 10 % at an azimuth of 30 deg: in the
    middle of 20 x 20 m, 10 m east and north, it lies lower by a tenth of the way along the fall.
    Ground at 10 m is cut down to it, on the mean to its level there."""
    fall = FinishedPlane(
        level_m=5.0,
        place=Coordinates(easting_m=place[0], northing_m=place[1]) if place else None,
        fall=0.1,
        azimuth_rad=math.pi / 6,
    )
    area = graded(surveyed([(e, n, 10.0) for e, n in SQUARE], finished=fall))
    middle = 5.0 - 0.1 * (east * 0.5 + north * math.sqrt(3) / 2)
    assert area.cut_m3 == pytest.approx(400 * (10.0 - middle))


@pytest.mark.parametrize("spacing", [2.0, 1.0, 0.5])
def test_measure_survey_meets_a_paraboloid_within_sampling(spacing: float) -> None:
    """A dish ((e - 10)² + (n - 10)²)/100 over 0 holds 2 x 20 x (2 x 10³/3)/100 = 266.667 m3. Over
    points a distance h apart both squares are h²/6 too large on average, whichever way the
    triangles lie: 400 x h²/300 in all, a quarter at half the distance."""
    count = round(20 / spacing) + 1
    places = [(i * spacing, j * spacing) for i in range(count) for j in range(count)]
    area = graded(surveyed([(e, n, ((e - 10) ** 2 + (n - 10) ** 2) / 100) for e, n in places]))
    assert area.cut_m3 == pytest.approx(800 / 3 + 400 * spacing**2 / 300, rel=1e-12)
    assert area.fill_m3 == 0


def test_measure_survey_divides_a_paraboloid_at_its_zero_line() -> None:
    """A dish lowered by 0.25 m lies below 0 inside a circle of 5 m: pi x 25 x 0.25 / 2 of fill."""
    points = scattered(lambda e, n: ((e - 10) ** 2 + (n - 10) ** 2) / 100, 5000)
    area = graded(surveyed(points, finished=0.25))
    assert area.fill_m3 == pytest.approx(math.pi * 25 * 0.25 / 2, rel=0.01)
    assert area.fill_m2 == pytest.approx(math.pi * 25, rel=0.01)


def test_measure_survey_divides_triangles_by_a_hollow_boundary() -> None:
    """On level ground 2 m high a star's volume is 2 m x its area, as another method has it."""
    boundary = star(14, 9.0)
    area = graded(surveyed(scattered(lambda _e, _n: 2.0), boundary))
    assert area.cut_m3 == pytest.approx(2 * Polygon(boundary).area, rel=1e-9)


def test_measure_survey_does_not_change_when_the_area_is_split() -> None:
    """A hollow boundary split along a line through no point: halves add up to the whole."""
    points = scattered(lambda e, n: math.sin(e / 3) + n / 15 - 0.5)
    whole, cut = Polygon(star(14, 9.0)), Polygon([(-1, -1), (13.1, -1), (6.3, 21), (-1, 21)])
    parts = [whole.intersection(cut), whole.difference(cut)]
    rings = [
        list(part.exterior.coords)[:-1]
        for shape in parts
        for part in getattr(shape, "geoms", [shape])
    ]
    together = graded(surveyed(points, star(14, 9.0)))
    apart = [graded(surveyed(points, ring)) for ring in rings]
    assert len(apart) >= 2
    for name in ("area_m2", "cut_m3", "fill_m3"):
        total = math.fsum(getattr(area, name) for area in apart)
        assert total == pytest.approx(getattr(together, name), rel=1e-9)


@given(st.integers(0, 10_000))
def test_measure_survey_does_not_change_with_the_order_of_points(seed: int) -> None:
    """Even points in a square grid, where triangles could lie two ways, give one answer."""
    points = [
        (e * 5.0, n * 5.0, float((7 * e + 3 * n * e) % 5)) for e in range(5) for n in range(5)
    ]
    mixed = points[:]
    random.Random(seed).shuffle(mixed)  # noqa: S311  repeatable, no secret
    plain, other = graded(surveyed(points, finished=2.0)), graded(surveyed(mixed, finished=2.0))
    assert other.cut_m3 == pytest.approx(plain.cut_m3, rel=1e-12)
    assert other.fill_m3 == pytest.approx(plain.fill_m3, rel=1e-12)


def test_measure_survey_does_not_change_with_the_origin() -> None:
    """Coordinates in the millions, as national grids have them, cost no digits that count."""
    east, north = 500_000.0, 4_500_000.0
    near = scattered(lambda e, n: math.sin(e / 3) + n / 15)
    far = [(e + east, n + north, z) for e, n, z in near]
    moved = [(e + east, n + north) for e, n in SQUARE]
    here, there = graded(surveyed(near)), graded(surveyed(far, moved))
    assert there.cut_m3 == pytest.approx(here.cut_m3, rel=1e-7)
    assert there.area_m2 == pytest.approx(400, rel=1e-7)


def test_measure_survey_covers_a_turned_grid_of_points() -> None:
    """Points along the edge of a turned grid are in line but for rounding: all ground counts."""
    c, s = math.cos(0.3), math.sin(0.3)
    points = [(c * i - s * j, s * i + c * j, 1.0) for i in range(21) for j in range(21)]
    corners = [(c * i - s * j, s * i + c * j) for i, j in ((0, 0), (20, 0), (20, 20), (0, 20))]
    area = graded(surveyed(points, corners))
    assert area.area_m2 == pytest.approx(400, rel=1e-9)
    assert area.cut_m3 == pytest.approx(400, rel=1e-9)


def test_measure_survey_takes_corners_by_point_number() -> None:
    """Corners are points of the survey, the first may close the ring; the order may be any."""
    survey = survey_of([(e, n, 1.0) for e, n in SQUARE])
    area = SurveyedArea(
        survey=survey, boundary=("4", "3", "2", "1", "4"), finished=FinishedPlane(level_m=0.5)
    )
    assert graded(area).cut_m3 == pytest.approx(200)


def test_measure_survey_says_what_it_assumes_and_covers() -> None:
    """The answer tells how the text was read, what is covered, and that there are no breaklines."""
    text = "# shots of the yard\nPoint,North,East,Elev\n1,0,0,1\n2,0,20,1\n3,20,20,1\n4,20,0,1\n"
    survey = read_survey(text, COLUMNS, "m")
    area = graded(
        SurveyedArea(survey=survey, boundary=places(*SQUARE), finished=FinishedPlane(level_m=0))
    )
    words = " | ".join(area.how)
    assert (
        "4 survey points read as point, northing, easting, elevation, description in m, "
        'below the header "Point,North,East,Elev"' in words
    )
    assert "comment lines left out: 1" in words
    assert "covered: 400 m2 of 400 m2 inside the boundary" in words
    assert [assumption.value for assumption in area.assumptions] == ["no breaklines"]


# --- boundaries ------------------------------------------------------------------------------


def test_lay_out_boundary_refuses_one_that_crosses_itself() -> None:
    """Corners out of order: both sides are named, and the pointer is at the first one."""
    crossed = surveyed(scattered(lambda _e, _n: 1.0), (SQUARE[0], SQUARE[2], SQUARE[1], SQUARE[3]))
    with pytest.raises(QuoteFaultsError) as caught:
        graded(crossed)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("boundary-crosses-itself", ("survey", "boundary", 0))
    assert "from corner 1 to 2 meets the side from corner 3 to 4" in fault.message


@pytest.mark.parametrize(
    ("boundary", "code", "at"),
    [
        (((0, 0), (20, 0), (10, 0)), "boundary-crosses-itself", ()),
        (((0, 0), (20, 0), (20, 0), (0, 20)), "boundary-corner-twice", (2,)),
        (((0, 0), (20, 0), (0, 0)), "boundary-too-few-corners", ()),
    ],
    ids=["no area", "twice", "two corners"],
)
def test_lay_out_boundary_refuses_what_is_no_ring(
    boundary: tuple[tuple[float, float], ...], code: str, at: tuple[int, ...]
) -> None:
    """A boundary encloses an area."""
    ((found, where),) = faults_of(surveyed(scattered(lambda _e, _n: 1.0), boundary))
    assert found == code
    assert where[: 2 + len(at)] == ("survey", "boundary", *at)


def test_triangulate_refuses_a_boundary_outside_the_points() -> None:
    """Each corner beyond the points is named with how much is covered; farther off, nothing is."""
    points = scattered(lambda _e, _n: 1.0)
    wide = surveyed(points, ((0, 0), (40, 0), (40, 20), (0, 20)))
    assert faults_of(wide) == [
        ("boundary-not-covered", ("survey", "boundary", 1)),
        ("boundary-not-covered", ("survey", "boundary", 2)),
    ]
    with pytest.raises(QuoteFaultsError, match="cover 50 % of the area"):
        graded(wide)
    away = surveyed(points, ((100, 100), (120, 100), (120, 120)))
    assert faults_of(away) == [("survey-points-outside", ("survey", "boundary"))]


def test_find_place_refuses_unknown_points() -> None:
    """Every corner that the survey doesn't have is named, and so is the place of a plane."""
    survey = survey_of([(e, n, 1.0) for e, n in SQUARE])
    level = FinishedPlane(level_m=0)
    area = SurveyedArea(survey=survey, boundary=("1", "8", "3", "9"), finished=level)
    assert faults_of(area) == [
        ("survey-point-unknown", ("survey", "boundary", 1)),
        ("survey-point-unknown", ("survey", "boundary", 3)),
    ]
    tilted = FinishedPlane(level_m=0, place="77", fall=0.1)
    area = SurveyedArea(survey=survey, boundary=("1", "2", "3"), finished=tilted)
    assert faults_of(area) == [("survey-point-unknown", ("survey", "finished_plane", "at"))]


def test_grading_loads_the_geometry_library_only_for_a_survey() -> None:
    """Start-up stays fast: shapely and NumPy come in with the first survey."""
    code = (
        "import sys; import service.operations.quoting.grading_request; "
        "print(sorted({'numpy', 'shapely'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
