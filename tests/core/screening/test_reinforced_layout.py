"""Layers by the rules of a basis: tests/reference/reinforced_soil.toml: layers, and laws of any."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.job.basis import Basis
from service.core.job.reinforcement import Sheet
from service.core.job.spec import WallSpec
from service.core.layout.layout import WallLayout
from service.core.screening.formulas.earth_pressure import coulomb_pressure, thrust
from service.core.screening.reinforced_layout import LaidOut, lay_out_layers
from service.core.screening.wall_section import Loading
from tests.given.basis import ASSOCIATION, FHWA
from tests.given.layered import BLOCKS, GRID, ground, pulls
from tests.given.screening_by_hand import ByHand, plane_distance
from tests.given.statics import LB_FT, PSF, total_n_m
from tests.given.walls import entry, ft, inch, laid, section, straight, to_ft, wall

DETAIL = section(minimum=0.0, shares=((0.0, 0.0),))
CLOSER = replace(ASSOCIATION, layers=replace(ASSOCIATION.layers, spacing_m=inch(16)))


def layered(
    spec: WallSpec,
    basis: Basis,
    *,
    friction_deg: float = 30.0,
    load: Loading | None = None,
    sheet: Sheet = GRID,
) -> tuple[WallLayout, LaidOut]:
    """A wall with layers along all of it."""
    layout, behind = laid(spec, BLOCKS, DETAIL), load or Loading(surcharge_pa=0.0, back_slope=0.0)
    found = lay_out_layers(
        layout,
        layout.stretches,
        ground(basis, friction_deg),
        sheet,
        "grid",
        lambda _s, _b: (behind,),
    )
    assert found is not None
    return layout, found


def level(courses: int) -> WallSpec:
    """40 ft of so many courses of 8 in that hold soil up to their top."""
    top = inch(8 * courses)
    return wall((straight(ft(40)),), (entry(0.0, top), entry("end", top)))


def test_r1_layers_lie_where_the_set_has_them() -> None:
    """16 in apart from 8 in up: E = 2/3, 2, 3 1/3, 4 2/3, 6, 7 1/3 ft.

    Trap 8: 0.6 of 8 ft is 4.8 ft; the top layer needs 6.552 ft, which the step of 6 in makes 7 ft.
    """
    layout, found = layered(level(12), CLOSER)
    layers = found.reinforcement.layers
    heights = [to_ft(layout.grid.level_m(each.joint)) for each in layers]
    assert heights == pytest.approx([2 / 3, 2, 10 / 3, 14 / 3, 6, 22 / 3])
    assert 2 + plane_distance(22 / 3) == pytest.approx(6.552, abs=1e-3)
    assert [to_ft(each.length_m) for each in layers] == pytest.approx([7.0] * 6)


def rising(start_ft: float, end_ft: float) -> WallSpec:
    """40 ft of nine courses; the back grade rises along them."""
    ends = (entry(0.0, ft(6), back=ft(start_ft)), entry("end", ft(6), back=ft(end_ft)))
    return wall((straight(ft(40)),), ends)


def rows_in(found: LaidOut, layout: WallLayout) -> list[tuple[int, float, float]]:
    """Joint, from and to of each layer, counted from the base, ft."""
    return [
        (each.joint - layout.lowest, to_ft(each.from_m), to_ft(each.to_m))
        for each in found.reinforcement.layers
    ]


def test_layers_begin_and_end_where_the_back_grade_crosses_a_joint() -> None:
    """From 4 ft to 6 ft of soil: joints 7 and 8 at 13.33 and 26.67 ft. Rows on joints 1, 4 and 7,
    each under a course of soil. Before joint 7 a sheet lies on joint 5 at most: on 1 and 4, three
    courses under joint 7. Before joint 8 row 4 is too low: joint 5 fills the gap. Then row 7 has
    its course of soil."""
    layout, found = layered(rising(4, 6), ASSOCIATION)
    expected = [(1, 0, 40), (4, 0, 40), (5, 40 / 3, 80 / 3), (7, 80 / 3, 40)]
    rows = rows_in(found, layout)
    assert [joint for joint, _, _ in rows] == [joint for joint, _, _ in expected]
    for one, other in zip(rows, expected, strict=True):
        assert one == pytest.approx(other, abs=1e-9)


def test_no_layer_lies_where_the_back_grade_only_touches_a_joint() -> None:
    """A row on each joint: joint 8 has its course of soil at the end of the wall alone."""
    basis = replace(ASSOCIATION, layers=replace(ASSOCIATION.layers, spacing_m=inch(8)))
    layout, found = layered(rising(4, 6), basis)
    rows = rows_in(found, layout)
    assert [joint for joint, _, _ in rows] == [1, 2, 3, 4, 5, 6, 7]
    assert [start for _, start, _ in rows] == pytest.approx([0] * 5 + [40 / 3, 80 / 3], abs=1e-9)


@pytest.mark.parametrize(("start", "end"), [(3.0, 6.0), (6.0, 3.0)])
def test_sections_stand_where_the_back_grade_crosses_a_joint(start: float, end: float) -> None:
    """From 3 ft to 6 ft in 40 ft, or back: 3 ft 4 in, 4 ft, 4 ft 8 in and 5 ft 4 in."""
    _, found = layered(rising(start, end), ASSOCIATION)
    soils = [3, 10 / 3, 4, 14 / 3, 16 / 3, 6]
    expected = sorted((40 * (soil - start) / (end - start), soil) for soil in soils)
    stations = sorted({(c.section.station_m, c.section.soil_m) for c in found.cases})
    assert [to_ft(at) for at, _ in stations] == pytest.approx([at for at, _ in expected], abs=1e-9)
    assert [to_ft(soil) for _, soil in stations] == pytest.approx([soil for _, soil in expected])


def on_ground(spec: WallSpec, foundation_rad: float, basis: Basis = ASSOCIATION) -> LaidOut:
    """Layers of a wall on ground of another friction, whose bearing nobody asks for."""
    asked = dict(basis.reinforced)
    del asked["bearing"]
    setting = ground(replace(basis, reinforced=asked))
    soils = replace(setting.soils, foundation_friction_rad=foundation_rad)
    found = lay_out_layers(
        laid(spec, BLOCKS, DETAIL),
        laid(spec, BLOCKS, DETAIL).stretches,
        replace(setting, soils=soils),
        GRID,
        "grid",
        lambda _s, _b: (Loading(surcharge_pa=0.0, back_slope=0.0),),
    )
    assert found is not None
    return found


def test_layers_of_a_low_wall_are_as_short_as_the_basis_allows() -> None:
    """16 in of soil: 4 ft, which is a whole step."""
    assert layered(level(2), ASSOCIATION)[1].reinforcement.reach_m == pytest.approx(ft(4))


def test_layers_that_never_pass_end_at_twice_the_highest_soil() -> None:
    """On ground of 1 deg no length keeps the wall from sliding: 2 x 6 ft."""
    found = on_ground(rising(4, 6), math.radians(1))
    assert found.reinforcement.reach_m == pytest.approx(ft(12))


@pytest.mark.parametrize("courses", [4, 5, 14])
def test_layers_that_never_pass_end_there_whatever_the_step(courses: int) -> None:
    """In steps of 2 in, of which 4 ft are 24: twice so many courses of 8 in."""
    basis = replace(ASSOCIATION, layers=replace(ASSOCIATION.layers, length_step_m=inch(2)))
    found = on_ground(level(courses), math.radians(1), basis)
    assert found.reinforcement.reach_m == pytest.approx(2 * inch(8 * courses))


def test_layers_are_as_long_as_the_highest_section_asks_for() -> None:
    """6 ft of soil push 120 x 6^2 / 2 times Coulomb's coefficient of soil on soil. The ground holds
    1.5 times that under layers of 8.2 ft, 720 lb/ft of units and 7.2 x 6 x 120 of soil: 8.5 ft."""
    lean = math.atan(1 / 8)
    friction = math.radians(30)
    push = coulomb_pressure(friction, friction, lean, 0.0).horizontal * 120 * 6**2 / 2
    holds = math.atan(1.5 * push / (720 + 7.2 * 6 * 120))
    found = on_ground(rising(4, 6), holds)
    assert found.reinforcement.reach_m == pytest.approx(ft(8.5))


@pytest.mark.parametrize(("slope", "length"), [(0.0, 8.5), (0.01, 10.0)])
def test_layers_by_the_manual_are_longer_where_the_ground_rises(
    slope: float, length: float
) -> None:
    """0.7 of 12 ft, 8.4 ft, under level ground, and 0.8, 9.6 ft, under any slope; soil of 44 deg
    asks for no more: the plane lies 0.4245 x 11.33 ft back, and 3 ft are 7.8 ft."""
    load = Loading(surcharge_pa=0.0, back_slope=slope)
    _, found = layered(level(18), FHWA, friction_deg=44.0, load=load)
    assert found.reinforcement.reach_m == pytest.approx(ft(length))


frictions = st.sampled_from([26, 28, 30, 32, 34])
counts = st.integers(2, 20)


@given(courses=counts, friction=frictions, spacing=st.sampled_from([8, 16, 24]))
def test_layers_pull_as_much_as_the_soil_pushes(courses: int, friction: int, spacing: int) -> None:
    """Without a load the pulls add up to the level thrust, whatever the spacing."""
    basis = replace(ASSOCIATION, layers=replace(ASSOCIATION.layers, spacing_m=inch(spacing)))
    (case, *_) = layered(level(courses), basis, friction_deg=friction)[1].cases
    thrust = ByHand(courses=courses, friction=friction, setback_in=1.0).soil_push
    assert sum(pulls(case)) == pytest.approx(thrust, rel=1e-9)


@given(courses=counts, friction=frictions, psf=st.integers(0, 500))
def test_layers_pull_the_load_above_too(courses: int, friction: int, psf: int) -> None:
    """With a load everywhere above they carry Coulomb's whole thrust, which has a closed form."""
    load = Loading(surcharge_pa=psf * PSF, back_slope=0.0)
    (case, *_) = layered(level(courses), ASSOCIATION, friction_deg=friction, load=load)[1].cases
    weight, height = case.ground.soils.fill_weight_n_m3, inch(8 * courses)
    pushed = total_n_m(thrust(height, weight, psf * PSF, case.filled.pressure))
    assert sum(pulls(case)) == pytest.approx(pushed / LB_FT, rel=1e-6)


@st.composite
def stepped(draw: st.DrawFn) -> WallSpec:
    """A wall of two to four heights, its top sloping between them, its base in steps."""
    tops = draw(st.lists(st.integers(4, 40), min_size=2, max_size=4))
    fronts = draw(st.lists(st.integers(-6, 0), min_size=4, max_size=4))
    entries = [
        entry(ft(12 * i) if i < len(tops) - 1 else "end", inch(4 * top), inch(8 * front))
        for i, (top, front) in enumerate(zip(tops, fronts, strict=False))
    ]
    return wall((straight(ft(12 * (len(tops) - 1))),), tuple(entries))


@given(
    spec=stepped(),
    friction=frictions,
    basis=st.sampled_from([ASSOCIATION, FHWA]),
    psf=st.sampled_from([0, 100, 250]),
    slope=st.sampled_from([0.0, 0.2]),
)
def test_layers_keep_the_rules_of_their_basis(
    spec: WallSpec, friction: int, basis: Basis, psf: int, slope: float
) -> None:
    """Layers lie between courses, never farther apart than allowed, each long enough."""
    load = Loading(surcharge_pa=psf * PSF, back_slope=slope)
    layout, found = layered(spec, basis, friction_deg=friction, load=load)
    rules = basis.layers
    apart = min(rules.spacing_m, rules.spacing_depths * BLOCKS.standard.depth_m) + 1e-9
    course = BLOCKS.standard.height_m
    for stretch in layout.stretches:
        middle = (stretch.from_m + stretch.to_m) / 2
        here = [each for each in found.reinforcement.layers if each.from_m < middle < each.to_m]
        joints = [each.joint for each in here]
        assert joints == sorted(set(joints))
        backs = (stretch.interval.start.back_m, stretch.interval.finish.back_m)
        covered = min(*backs, layout.grid.level_m(stretch.top_joint)) + 1e-9
        if covered < layout.grid.level_m(stretch.base + 2):
            assert not joints  # nowhere to lay a sheet with a course of soil over it
            continue
        assert layout.grid.level_m(joints[-1] + 1) <= covered
        assert stretch.base < joints[0]
        assert joints[-1] < stretch.top_joint
        assert (joints[0] - stretch.base) * course <= BLOCKS.standard.depth_m + 1e-9
        for lower, upper in itertools.pairwise([*joints, stretch.top_joint]):
            assert (upper - lower) * course <= apart
    for case in found.cases:
        share = rules.shortest_share_sloping if slope else rules.shortest_share
        least = max(rules.shortest_m, share * case.section.soil_m)
        assert case.length_m >= least - 1e-9


@given(courses=counts, friction=frictions)
def test_layers_reach_beyond_the_plane(courses: int, friction: int) -> None:
    """1 ft behind Coulomb's plane, found by search, and no more than a step longer than that,
    than 0.6 of the height or 4 ft, or than sliding, overturning and pullout ask for."""
    layout, found = layered(level(courses), ASSOCIATION, friction_deg=friction)
    length = to_ft(found.reinforcement.reach_m)
    assert found.reinforcement.layers
    for each in found.reinforcement.layers:
        height = to_ft(layout.grid.level_m(each.joint))
        assert length >= 2 + plane_distance(height, friction=friction) - 1e-6
    assert length * 2 == pytest.approx(round(length * 2))
