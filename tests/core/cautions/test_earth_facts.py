"""Facts of the earthwork: what is left standing where grading stops."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.cautions.earth_facts import (
    job_earth_facts,
    raised_side_fact,
    tight_plan_fact,
    wall_earth_facts,
)
from service.core.ground.balance import balance
from service.core.job.fact import Fact
from service.core.job.spec import EndKind, Ends
from service.core.job.topsoil import Topsoil
from service.core.measure import US
from tests.given.earth import dig_section, dug, ground_wall, soil
from tests.given.set_walls import UPRIGHT
from tests.given.walls import corner, curve, ft, inch, laid, level_wall, section


@pytest.mark.parametrize(
    ("back_in", "over_in", "stands_in"),
    [(1.0, 1.0, 0.0), (1.1, 1.0, 1.1), (1.1, 2.0, 0.0), (0.6, 0.5, 0.6)],
)
def test_ground_left_standing_goes_by_the_limit_of_the_place(
    back_in: float, over_in: float, stands_in: float
) -> None:
    """Up to the limit no ground is left standing, beyond it with its height and its station."""
    spec = ground_wall((0, 4, 0, 0), (40, 4, 0, 0), back=back_in / 12, graded_behind_m=ft(12))
    wall = dug(spec, dig_section(minimum=inch(12)))
    earth = balance([wall], [], soil(), None, None, None, US)
    fact = wall_earth_facts(earth, inch(over_in), US)[wall.wall]["ground_left_standing"]
    assert fact.value == pytest.approx(inch(stands_in))
    assert bool(fact.words) == bool(stands_in)


def test_ground_left_standing_is_told_by_its_largest_height() -> None:
    """In front 6 in of ground are left above the finished ground, behind 3 in below it: both are
    told, and the larger one is the figure."""
    spec = ground_wall(
        (0, 4, -0.5, 0),
        (40, 4, -0.5, 0),
        back=0.25,
        graded_in_front_m=ft(3),
        graded_behind_m=ft(12),
    )
    wall = dug(spec, dig_section())
    earth = balance([wall], [], soil(), None, None, None, US)
    fact = wall_earth_facts(earth, inch(1), US)[wall.wall]["ground_left_standing"]
    assert fact.value == pytest.approx(inch(6))
    assert "In front, finished ground ends 0.5 ft below existing ground" in fact.words
    assert "Behind, finished ground ends 0.25 ft above existing ground" in fact.words


@pytest.mark.parametrize(("stone_in", "tight"), [(3.5, False), (4.0, True)])
def test_plan_is_too_tight_where_stone_reaches_past_the_last_meeting(
    stone_in: float, tight: bool
) -> None:
    """The same arcs meet up to 21.70 in behind: the seventh course stands 6 in back, and stone
    begins 12 in behind it."""
    arc, detail = curve("outside", inch(120), 60), section(drainage_width=inch(stone_in))
    layout = laid(level_wall((arc, corner("outside", 110), arc), inch(48)), detail=detail)
    facts = tight_plan_fact(layout, detail, None, US)
    assert [fact.value for fact in facts.values()] == ([1.0] if tight else [])


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(("turn", "tight"), [(110, True), (10, False)])
def test_plan_is_too_tight_where_digging_reaches_past_the_last_meeting(
    turn: float, tight: bool
) -> None:
    """Two outside arcs of 120 in at a corner of 110 deg meet up to 120 (1 - sin 55 deg) in, which
    is 1.80848 ft, behind the plan line: stone 18 in back follows, the cut behind it does not. At
    10 deg both do."""
    detail = dig_section(cut_slope=1.0)
    detail = replace(detail, drainage=replace(detail.drainage, width_m=inch(6)))
    plan = (
        curve("outside", inch(120), 60),
        corner("outside", turn),
        curve("outside", inch(120), 60),
    )
    spec = ground_wall(
        (0, 3, 0, 2), (20, 3, 0, 2), plan=plan, graded_in_front_m=0.0, graded_behind_m=0.0
    )
    earth = balance([dug(spec, detail, UPRIGHT)], [], soil(), None, None, None, US)
    layout = laid(spec, UPRIGHT, detail)
    assert earth.cut_m3 > 0
    assert tight_plan_fact(layout, detail, None, US) == {}
    facts = tight_plan_fact(layout, detail, earth, US)
    assert ("plan_too_tight" in facts) == tight
    if tight:
        assert "up to 1.80848 ft behind the plan line" in facts["plan_too_tight"].words


@pytest.mark.parametrize(("start_ft", "tight"), [(1, False), (6, True)])
def test_plan_is_too_tight_where_the_highest_course_leans_past_the_last_meeting(
    start_ft: float, tight: bool
) -> None:
    """The same arcs meet 21.7 in behind the plan line. Courses of 8 in set back 1 in, stone 18 in
    behind the face: a top of 1 ft reaches 20 in at most; one that falls from 6 ft to it, farther.
    """
    detail = dig_section(cut_slope=1.0)
    detail = replace(detail, drainage=replace(detail.drainage, width_m=inch(6)))
    plan = (
        curve("outside", inch(120), 60),
        corner("outside", 110),
        curve("outside", inch(120), 60),
    )
    spec = ground_wall((0, start_ft, 0, 0), (20, 1, 0, 0), plan=plan)
    assert ("plan_too_tight" in tight_plan_fact(laid(spec), detail, None, US)) == tight


@pytest.mark.parametrize(
    ("kind", "told"),
    [("open", True), ("finished", True), ("into_grade", False), ("against_structure", False)],
)
def test_raised_side_fact_looks_at_ends_that_nothing_holds(kind: EndKind, told: bool) -> None:
    """4 ft of finished ground over ground at 1 ft at the start and 3 ft at the end: the start
    stands 3 ft high, unless it runs into grade or meets a structure."""
    ends = Ends(start=kind, finish="against_structure")
    facts = raised_side_fact(laid(ground_wall((0, 4, 0, 1), (40, 4, 0, 3), ends=ends)), US)
    assert ("raised_side" in facts) == told
    if told:
        assert facts["raised_side"].value == pytest.approx(ft(3))
        assert facts["raised_side"].words.endswith("3 ft over the ground there, at station 0 ft.")


@pytest.mark.parametrize(
    ("at_start_ft", "at_end_ft", "place"),
    [(1, 3, "0 ft"), (3, 1, "40 ft")],
)
def test_raised_side_fact_is_that_of_the_higher_end(
    at_start_ft: float, at_end_ft: float, place: str
) -> None:
    """Both ends are open: 4 ft of finished ground stands 3 ft over the one, 1 ft over the other."""
    stations = ((0, 4, 0, at_start_ft), (40, 4, 0, at_end_ft))
    ends = Ends(start="open", finish="open")
    fact = raised_side_fact(laid(ground_wall(*stations, ends=ends)), US)["raised_side"]
    assert fact.value == pytest.approx(ft(3))
    assert fact.words.endswith(f"3 ft over the ground there, at station {place}.")


def test_raised_side_fact_looks_behind_the_highest_course() -> None:
    """Ground that rises 1 in 3 from 1 ft at the plan line. Under a top of 4 ft seven courses of
    8 in, the highest set back 6 in and 12 in deep: 18 in behind the plan line it lies at 1.5 ft,
    2.5 ft under the top. At the other end the top of 2 ft lies under it."""
    ends = Ends(start="open", finish="open")
    spec = ground_wall((0, 4, 0, 1), (40, 2, 0, 2), ends=ends, existing_slope=1 / 3)
    fact = raised_side_fact(laid(spec), US)["raised_side"]
    assert fact.value == pytest.approx(ft(2.5))


@pytest.mark.parametrize(
    ("stripped", "filled_with", "value"),
    [
        (None, None, 1.0),
        (Topsoil(strip_m=0.0, replace_m=0.0), None, 0.0),
        (None, "gravel", 0.0),
    ],
    ids=["reused", "topsoil said", "fill brought"],
)
def test_topsoil_is_asked_for_where_the_least_soil_is_reused(
    stripped: Topsoil | None, filled_with: str | None, value: float
) -> None:
    """Less than a cubic meter of a short wall's cut goes back. What becomes of its topsoil matters
    then, unless that was said or another soil is brought."""
    stations = (0, 1, 0, 0.5), (3, 1, 0, 0.5)
    wall = dug(ground_wall(*stations, graded_in_front_m=0.0, graded_behind_m=0.0), dig_section())
    fill = soil(filled_with) if filled_with else None
    earth = balance([wall], [], soil(), fill, None, stripped, US)
    assert (0.0 < earth.reused_m3 < 1.0) == (fill is None)
    assert job_earth_facts(earth, US)["topsoil_not_stated"].value == value


def test_trench_depth_of_one_cut_names_the_other_walls() -> None:
    """A cut of its own goes from its trench, one with others from the lowest of all."""
    stations = (0, 4, 0, 2), (40, 4, 0, 2)
    spec = ground_wall(*stations, graded_in_front_m=0.0, graded_behind_m=0.0)
    alone = dug(spec, dig_section())
    shared = replace(alone, wall="shared", one_cut_with=("upper", "third"))
    earth = balance([alone, shared], [], soil(), None, None, None, US)
    facts = wall_earth_facts(earth, ft(1), US)
    assert facts[alone.wall]["trench_depth"].words.startswith("From bottom of trench to top of cut")
    words = facts["shared"]["trench_depth"].words
    assert words.startswith("One cut with upper and third: from the lowest trench bottom")


def test_pad_on_fill_is_told_with_its_depth_and_station() -> None:
    """6 in of a lower wall's fill under the pad, 10 ft along; a wall on its own ground has none."""
    stations = (0, 4, 0, 2), (40, 4, 0, 2)
    spec = ground_wall(*stations, graded_in_front_m=0.0, graded_behind_m=0.0)
    own = dug(spec, dig_section())
    filled = replace(own, wall="filled", pad_fill_m=inch(6), pad_fill_station_m=ft(10))
    earth = balance([own, filled], [], soil(), None, None, None, US)
    facts = wall_earth_facts(earth, ft(1), US)
    assert facts[own.wall]["pad_on_fill"].value == 0.0
    words = "Up to 0.5 ft of fill under the pad, at station 10 ft."
    assert facts["filled"]["pad_on_fill"] == Fact(value=1.0, words=words)


@pytest.mark.parametrize(("graded_in", "tight"), [(6, False), (36, True)])
def test_plan_is_too_tight_where_grading_in_front_reaches_past_the_last_meeting(
    graded_in: float, tight: bool
) -> None:
    """Two inside arcs of 120 in at a corner of 110 deg meet up to 21.7 in in front of the plan
    line. Ground 6 in over the grade in front is cut so far and at 1:1 beyond: to 12 in, which
    both sides follow, and to 42 in, which they don't."""
    detail = dig_section(cut_slope=1.0)
    plan = (curve("inside", inch(120), 60), corner("inside", 110), curve("inside", inch(120), 60))
    stations = ((0, 2, 0, 0.5), (20, 2, 0, 0.5))
    spec = ground_wall(*stations, plan=plan, graded_in_front_m=inch(graded_in), graded_behind_m=0.0)
    earth = balance([dug(spec, detail, UPRIGHT)], [], soil(), None, None, None, US)
    facts = tight_plan_fact(laid(spec, UPRIGHT, detail), detail, earth, US)
    assert ("plan_too_tight" in facts) == tight
    if tight:
        assert "up to 1.80848 ft in front of the plan line" in facts["plan_too_tight"].words
