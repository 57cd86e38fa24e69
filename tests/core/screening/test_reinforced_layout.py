"""Layers by the rules of a basis: tests/reference/reinforced_soil.toml: layers, and laws of any."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.job.basis import Basis
from service.core.job.spec import WallSpec
from service.core.layout.layout import WallLayout
from service.core.screening.formulas.earth_pressure import thrust
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
) -> tuple[WallLayout, LaidOut]:
    """A wall with layers along all of it."""
    layout, behind = laid(spec, BLOCKS, DETAIL), load or Loading(surcharge_pa=0.0, back_slope=0.0)
    found = lay_out_layers(
        layout,
        layout.stretches,
        ground(basis, friction_deg),
        GRID,
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
