"""Whether the slope of a deep cut protects, each limit tried from both sides (rule 13.19).

The wall stands from 3 to 9 ft over a trench to 2.5 ft, its front at 6 in before the plan line, its
floor to 2 ft behind it. The ground is E at the plan line and rises 1 in 2; a cut at 1:1 from
(2 ft, 3 ft) meets it at 2E - 2 ft, where the cut is 2E - 3.5 ft deep. The front edge is E - 2.75 ft
high.
"""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import pytest

from service.core.cautions.earth_facts import wall_earth_facts
from service.core.cautions.place_facts import cut_facts
from service.core.cautions.shoring_facts import CutRules, shoring_fact, sloped_words
from service.core.ground.balance import balance
from service.core.ground.earthwork import WallEarthwork
from service.core.job.fact import Fact
from service.core.job.graded import WallSide
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.site import KeptSurface, Site, Tree
from service.core.job.spec import LoadAbove, WallSpec
from service.core.measure import US
from tests.given.earth import EARTH_RULES, FOOT_DEEP, dug, ground_wall, soil
from tests.given.walls import ft

CLASS_B = CutRules(soil_class="B", earth=EARTH_RULES)


def sloped_wall(existing_ft: float, *above: LoadAbove, at_end_ft: float | None = None) -> WallSpec:
    """A wall in ground that rises 1 in 2 from `existing_ft` at the plan line, `at_end_ft` at the
    end of the wall."""
    end_ft = existing_ft if at_end_ft is None else at_end_ft
    stations = (0, 9, 4, existing_ft), (40, 9, 4, end_ft)
    plain = ground_wall(
        *stations, existing_slope=0.5, graded_in_front_m=ft(10), graded_behind_m=ft(30)
    )
    return replace(plain, above=above)


def earth_of(spec: WallSpec) -> tuple[WallEarthwork, Fact]:
    """Its earthwork in class B, and how deep it is cut."""
    wall = dug(spec, FOOT_DEEP, of=soil(class_="B"))
    facts = wall_earth_facts(balance([wall], [], soil(), None, None, None, US), ft(1), US)
    return wall, facts[wall.wall]["trench_depth"]


def told(spec: WallSpec, site: Site | None = None, rules: CutRules = CLASS_B) -> str:
    """Why shoring is needed; nothing where it isn't."""
    wall, depth = earth_of(spec)
    fact = shoring_fact(depth, wall, spec, site, rules, US)["cut_not_sloped"]
    assert bool(fact.value) == bool(fact.words)
    return fact.words


def test_shoring_fact_leaves_a_sloped_cut_to_its_slope() -> None:
    """5 ft deep with a front of 1.5 ft: the slope is the protection, and it is said so."""
    wall, depth = earth_of(sloped_wall(4.25))
    assert depth.value == pytest.approx(ft(5))
    shoring = shoring_fact(depth, wall, sloped_wall(4.25), None, CLASS_B, US)
    assert shoring["cut_not_sloped"].value == 0
    said = sloped_words(wall, shoring, depth, CLASS_B)
    assert said.strip() == "The quoted slope of 1:1 is the protection."


def test_cut_facts_say_that_the_slope_protects() -> None:
    """The words on the class of a sloped cut of 5 ft end with its protection."""
    spec = sloped_wall(4.25)
    wall, depth = earth_of(spec)
    place = Jurisdiction(id="here", version="1", title="Here", cautions=(), earth=EARTH_RULES)
    facts = cut_facts({"trench_depth": depth}, soil(class_="B"), None, place, spec, wall, US)
    end = "Soil class B: no steeper than 1:1. The quoted slope of 1:1 is the protection."
    assert facts["classed_cut_depth"].words.endswith(end)


@pytest.mark.parametrize(("existing", "high"), [(7.74, ""), (7.75, "5 ft"), (8.75, "6 ft")])
def test_shoring_fact_counts_the_upright_front_from_5_ft(existing: float, high: str) -> None:
    """The front stands 4.99, 5 and 6 ft high, in a cut that is deeper than 5 ft each time."""
    words = told(sloped_wall(existing))
    assert (f"upright, {high} high at station 0 ft" in words) if high else words == ""


@pytest.mark.parametrize(
    ("existing", "slope", "needed"), [(4.49, 0.99, False), (4.5, 0.99, True), (4.5, 1.0, False)]
)
def test_shoring_fact_counts_the_face_alone(existing: float, slope: float, needed: bool) -> None:
    """The face is 2E - 4 ft high over the pad's top, in a cut of 2E - 3.5 ft: at E = 4.5 ft and
    steeper than the class it needs shoring, lower or as steep as the class it does not."""
    wall, depth = earth_of(sloped_wall(existing))
    steep = replace(wall, cut_slope=slope)
    fact = shoring_fact(depth, steep, sloped_wall(existing), None, CLASS_B, US)
    assert bool(fact["cut_not_sloped"].value) == needed


def test_shoring_fact_tells_the_highest_and_farthest_along_the_wall() -> None:
    """Ground that falls from one end to the other: the front from 6 to 5 ft, the face from 6 to
    5 ft at another E, the reach from 8 to 7 ft. Each is told of station 0, where it is most."""
    front = told(sloped_wall(8.75, at_end_ft=7.75))
    assert "upright, 6 ft high at station 0 ft" in front
    spec = sloped_wall(5, at_end_ft=4.5)
    wall, depth = earth_of(spec)
    fact = shoring_fact(depth, replace(wall, cut_slope=0.99), spec, None, CLASS_B, US)
    assert "stands at 0.99:1, 6 ft high at station 0 ft" in fact["cut_not_sloped"].words
    assert "which ends 8 ft from it at station 0 ft" in told(spec, Site(line_distance_m=ft(7.5)))


def test_cut_edges_leave_the_step_behind_the_pad_out() -> None:
    """At E = 4.25 ft the cut meets ground of 7.5 ft at 6.5 ft: 4.5 ft over the pad's top at 3 ft,
    5 ft over the trench; the trench begins 6 in before the plan line."""
    wall, _ = earth_of(sloped_wall(4.25))
    edge = wall.edges[0]
    found = edge.front_edge_m, edge.face_m, edge.reach.front_m, edge.reach.behind_m
    assert found == pytest.approx((ft(1.5), ft(4.5), ft(0.5), ft(6.5)))


def sites(distance_ft: float, side: WallSide = "behind") -> list[Site]:
    """A line, a tree and a surface, each at one distance."""
    away = ft(distance_ft)
    return [
        Site(line_distance_m=away, line_side=side),
        Site(trees=(Tree(distance_m=away, side=side),)),
        Site(to_keep=(KeptSurface(what="Paving", distance_m=away, side=side),)),
    ]


@pytest.mark.parametrize("kept", [0, 1, 2])
@pytest.mark.parametrize(
    ("existing", "distance", "side", "reached"),
    [
        (4.25, 6.5, "behind", True),
        (4.25, 6.51, "behind", False),
        (4.24, 6.0, "behind", False),
        (4.25, 0.5, "front", True),
        (4.25, 0.51, "front", False),
    ],
)
def test_shoring_fact_looks_at_what_a_deep_cut_reaches(
    kept: int, existing: float, distance: float, side: WallSide, reached: bool
) -> None:
    """A cut 5 ft deep ends 6.5 ft behind the plan line and 6 in before it: what stands there is
    reached, a tenth of an inch farther is not; one of 4.98 ft looks at nothing."""
    words = told(sloped_wall(existing), sites(distance, side)[kept])
    assert bool(words) == reached
    if reached:
        assert f"{distance:g} ft {'behind' if side == 'behind' else 'in front of'}" in words


@pytest.mark.parametrize(("distance", "reached"), [(6.5, True), (6.51, False)])
def test_shoring_fact_looks_at_buildings(distance: float, reached: bool) -> None:
    """A building at the end of the slope is reached; a driveway there is none."""
    house = LoadAbove(
        what="building", title="Building", load_pa=0.0, from_m=ft(distance), near=("building",)
    )
    drive = replace(house, what="drive", title="Drive", near=("walkway",))
    assert bool(told(sloped_wall(4.25, house))) == reached
    assert told(sloped_wall(4.25, drive)) == ""


@pytest.mark.parametrize(("depth_ft", "needed"), [(4.99, False), (5.0, True)])
def test_shoring_fact_without_a_quoted_slope(depth_ft: float, needed: bool) -> None:
    """A wall whose ground nobody measured has no slope that protects, from 5 ft on."""
    depth, spec = Fact(value=ft(depth_ft)), sloped_wall(4.25)
    fact = shoring_fact(depth, None, spec, None, CLASS_B, US)["cut_not_sloped"]
    assert bool(fact.value) == needed
    assert ("Existing ground is not given" in fact.words) == needed


def test_shoring_fact_goes_by_the_depth_of_the_place() -> None:
    """Where a place asks for protection from 4 ft on, a front of 4 ft counts."""
    strict = CutRules(soil_class="B", earth=replace(EARTH_RULES, deep_cut_m=ft(4)))
    assert "4 ft high" in told(sloped_wall(6.75), None, strict)
    assert told(sloped_wall(6.75)) == ""


def test_shoring_fact_leaves_upright_cuts_to_soil_that_stands_upright() -> None:
    """Where the class may stand upright, a front of 6 ft is no reason for shoring."""
    upright = replace(EARTH_RULES, cut_slopes=MappingProxyType({"B": 0.0}))
    assert told(sloped_wall(8.75), None, CutRules(soil_class="B", earth=upright)) == ""
