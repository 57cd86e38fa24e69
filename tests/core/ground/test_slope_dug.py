"""Whether walls can be dug, and at which slope, is told as digging them tells it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.core.built import lay_out_walls
from service.core.errors import QuoteFaultsError
from service.core.ground.digging import Pen, outlines
from service.core.ground.excavation import Asked, Excavated, asked_digging, dig_out, slope_dug
from service.core.ground.ground import measure_ground
from service.core.ground.groundwork import check_dug, dig, dug_slopes
from service.core.ground.known_ground import ground_of
from service.core.job.graded import Beside, Grading
from service.core.job.job import Soils
from service.core.job.reinforcement import WallReinforcement
from service.core.job.spec import Station, WallSpec
from service.core.layout.layout import WallLayout
from service.core.measure import US, UnitSet
from tests.core.ground.test_known_ground import AREA, LAYERS, PLAIN, VARIANTS
from tests.given.earth import EARTH_RULES, dig_section, ground_wall, soil
from tests.given.graded import grid
from tests.given.set_walls import UPRIGHT
from tests.given.walls import corner, ft, laid, section, straight

Told = float | tuple[str, ...] | None
levels = st.floats(0, 8).map(lambda feet: round(feet, 1))
distances = st.sampled_from([None, 3.0, 6.0])
STATIONS = (0.0, 12.0, 30.0)


def asked_of(slope: float | None, deep_ft: float, within_ft: float) -> Asked:
    """How a section of this cut slope asks for it in class B, whose slope is 1:1."""
    rules = replace(EARTH_RULES, deep_cut_m=ft(deep_ft), grade_within_m=ft(within_ft))
    return asked_digging(dig_section(cut_slope=slope), soil(class_="B"), rules)


def told(work: Callable[[], float | None]) -> Told:
    """What some work finds, or what it is refused with."""
    try:
        return work()
    except QuoteFaultsError as error:
        return tuple(str(fault) for fault in error.faults)


def dug(layout: WallLayout, asked: Asked) -> float | None:
    """The slope at which a wall was dug whole."""
    found = dig_out(layout, asked, US)
    return found.earth.cut_slope if found else None


def agree(layout: WallLayout, asked: Asked) -> Told:
    """The slope is told as the whole wall is dug, and so is whether it can be."""
    slope = told(lambda: slope_dug(layout, asked, US, dig_out))
    whole = told(lambda: dug(layout, asked))
    assert isinstance(slope, tuple) == isinstance(whole, tuple)
    assert isinstance(slope, tuple) or slope == whole
    return slope


@given(
    fronts=st.tuples(levels, levels, levels),
    grounds=st.tuples(levels, levels, levels),
    slope=st.sampled_from([0.0, 0.1, 0.4, 0.9, 1.1]),
    behind=st.sampled_from([0.0, 0.2, 0.5]),
    in_front=distances,
    back=distances,
    cut=st.sampled_from([None, 0.5, 1.0, 1.5]),
    deep=st.sampled_from([3.0, 5.0, 9.0]),
    within=st.sampled_from([2.0, 8.0, 50.0]),
    turned=st.booleans(),
)
@example(
    fronts=(0.0, 0.0, 0.0),
    grounds=(1.0, 5.0, 1.0),
    slope=0.1,
    behind=0.0,
    in_front=3.0,
    back=6.0,
    cut=0.5,
    deep=5.0,
    within=50.0,
    turned=False,
)
@example(
    fronts=(0.0, 0.0, 0.0),
    grounds=(1.0, 1.0, 5.0),
    slope=0.1,
    behind=0.0,
    in_front=3.0,
    back=6.0,
    cut=0.5,
    deep=5.0,
    within=50.0,
    turned=False,
)
def test_slope_dug_tells_what_digging_finds(
    *,
    fronts: tuple[float, ...],
    grounds: tuple[float, ...],
    slope: float,
    behind: float,
    in_front: float | None,
    back: float | None,
    cut: float | None,
    deep: float,
    within: float,
    turned: bool,
) -> None:
    """On planes: grades up and down, cuts too flat for the ground, grading that ends nowhere."""
    stations = [
        (at, max(fronts) + 4, front, ground)
        for at, front, ground in zip(STATIONS, fronts, grounds, strict=True)
    ]
    spec = ground_wall(
        *stations,
        plan=(straight(ft(14)), corner("outside", 60), straight(ft(16))) if turned else (),
        existing_slope=slope,
        back_slope=behind,
        graded_in_front_m=None if in_front is None else ft(in_front),
        graded_behind_m=None if back is None else ft(back),
    )
    asked = asked_of(cut, deep, within)
    agree(laid(spec, UPRIGHT, dig_section(cut_slope=cut), US), asked)


STEEP = ground_wall((0, 4, 0, 4), (30, 4, 0, 4), existing_slope=2.0, graded_in_front_m=ft(3))
LEVEL = ground_wall((0, 4, 0, 4), (30, 4, 0, 4), graded_in_front_m=ft(3), graded_behind_m=ft(3))
RISING = ground_wall((0, 5, 0, 1), (30, 5, 0, 4.5), graded_in_front_m=ft(3), graded_behind_m=ft(3))
TERRACE = ground_wall((0, 4, 0, 0), (30, 4, 0, 0))
SURVEYED = ground_wall(
    (0, 4, 0, 0), (30, 4, 0, 0), section_pairs=((-20, 0), (1, 0), (2, 7), (40, 7))
)
SHORT = ground_wall((0, 4, 0, 0), (30, 4, 0, 0), section_pairs=((-20, 0), (2, 0), (4, 7)))


@pytest.mark.parametrize(
    ("spec", "cut", "expected"),
    [
        (LEVEL, 0.25, 1.0),
        (LEVEL, 1.5, 1.5),
        (LEVEL, None, 1.0),
        (SURVEYED, 0.25, 1.0),
        (replace(LEVEL, profile=TERRACE.profile), 0.25, 0.25),
    ],
    ids=["deep", "flatter", "class", "surveyed", "shallow"],
)
def test_slope_dug_is_that_of_the_class_from_five_feet_on(
    spec: WallSpec, cut: float, expected: float
) -> None:
    """4 ft of ground over the front grade and what lies under it are more than 5 ft."""
    layout = laid(spec, UPRIGHT, dig_section(cut_slope=cut), US)
    assert agree(layout, asked_of(cut, 5.0, 50.0)) == expected


def test_slope_dug_is_that_of_the_class_where_one_end_is_deep() -> None:
    """A trench bottom 1 ft under the front grade of 0, ground from 1 ft to 4.5 ft: only the far end
    is more than 5 ft deep."""
    layout = laid(RISING, UPRIGHT, dig_section(cut_slope=0.25), US)
    assert agree(layout, asked_of(0.25, 5.0, 50.0)) == 1.0


@pytest.mark.parametrize(("short_m", "times"), [(0.0, 0), (0.001, 1)])
def test_slope_dug_digs_only_where_a_cut_reaches_farther_than_is_looked(
    short_m: float, times: int
) -> None:
    """The cut reaches farthest at the far end. Where finished ground is looked for as far, nothing
    needs to be dug; where that is a millimeter short of it, the wall is."""
    layout = laid(RISING, UPRIGHT, dig_section(cut_slope=1.5), US)
    asked = asked_of(1.5, 5.0, 50.0)
    ends = [
        each.cut_end_m for each in outlines(Pen(layout, asked.digging, US), measure_ground(layout))
    ]
    assert len(set(ends)) > 1
    within = replace(asked.digging, grade_within_m=max(ends) - short_m)
    dug_walls: list[WallLayout] = []

    def dig_and_tell(wall: WallLayout, how: Asked, units: UnitSet) -> Excavated | None:
        dug_walls.append(wall)
        return dig_out(wall, how, units)

    assert slope_dug(layout, replace(asked, digging=within), US, dig_and_tell) == 1.5
    assert dug_walls == [layout] * times


@pytest.mark.parametrize("spec", [STEEP, TERRACE, SHORT], ids=["steep", "terrace", "short"])
def test_slope_dug_refuses_what_cannot_be_dug(spec: WallSpec) -> None:
    """A cut that never meets the ground, a terrace that never ends, a survey that is too short."""
    layout = laid(spec, UPRIGHT, dig_section(cut_slope=1.0), US)
    assert isinstance(agree(layout, asked_of(1.0, 5.0, 50.0)), tuple)


def test_slope_dug_is_none_without_ground() -> None:
    """Nothing is dug where nobody measured."""
    bare = replace(LEVEL, profile=tuple(replace(e, existing_grade_m=None) for e in LEVEL.profile))
    assert agree(laid(bare, UPRIGHT, dig_section(), US), asked_of(1.0, 5.0, 50.0)) is None


@pytest.mark.parametrize("layers", [(), LAYERS], ids=["plain", "layered"])
@pytest.mark.parametrize("name", VARIANTS)
def test_dug_slopes_are_those_of_what_is_dug(
    name: str, layers: tuple[WallReinforcement, ...]
) -> None:
    """Wall by wall, for every variant of a job, with tiers and without."""
    job = VARIANTS[name]
    layouts = lay_out_walls(job)
    earth = dig(job, layouts, layers).earth
    assert earth is not None
    slopes = dug_slopes(job, layouts, layers, ground_of(job))
    assert slopes == {wall.wall: wall.cut_slope for wall in earth.walls}


BESIDE = Beside(
    wall="low",
    side="behind",
    from_station=Station(kind="at"),
    to_station=Station(kind="end"),
    from_m=ft(1),
)
ALONE = replace(PLAIN, tiers=())
REFUSED = {
    "no soil": replace(ALONE, soils=Soils()),
    "soil that may not go back": replace(ALONE, soils=Soils(retained=soil(reusable=False))),
    "an area over the cut": replace(ALONE, grading=(replace(AREA, beside=BESIDE),)),
    "a ragged area": replace(ALONE, grading=(Grading(name="rag", ground=grid([[0, 0], [0]])),)),
    "walls that can't be dug": replace(ALONE, walls=(STEEP, replace(TERRACE, name="other"))),
}


def codes(error: QuoteFaultsError) -> list[str]:
    """What is wrong, by its codes."""
    return sorted({fault.code for fault in error.faults})


@pytest.mark.parametrize("name", REFUSED)
def test_check_dug_refuses_as_digging_does(name: str) -> None:
    """For the same reasons, at the same places."""
    job = REFUSED[name]
    layouts = lay_out_walls(job)
    with pytest.raises(QuoteFaultsError) as whole:
        dig(job, layouts)
    with pytest.raises(QuoteFaultsError) as checked:
        check_dug(job, layouts, (), ground_of(job))
    assert codes(checked.value) == codes(whole.value)


@pytest.mark.parametrize("name", VARIANTS)
def test_check_dug_takes_what_can_be_dug(name: str) -> None:
    """Every variant of the job, with layers."""
    job = VARIANTS[name]
    check_dug(job, lay_out_walls(job), LAYERS, ground_of(job))


def test_check_dug_takes_a_job_on_which_nobody_digs() -> None:
    """Of material alone nothing is dug, whatever the ground."""
    job = replace(REFUSED["walls that can't be dug"], materials_only=True)
    check_dug(job, lay_out_walls(job), (), ground_of(job))


def test_a_section_that_says_nothing_of_its_cut_has_no_working_room() -> None:
    """The floor runs no farther than the stone, and the slope is that of the soil's class."""
    asked = asked_digging(section(), soil(class_="B"), EARTH_RULES)
    assert (asked.digging.working_room_m, asked.digging.cut_slope) == (0.0, 1.0)
    assert asked.own_slope is None
