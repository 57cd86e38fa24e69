"""Facts of one wall that falls, fill and cuts hang on, and of the ground under its pad."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.catalog import Catalog
from service.core.cautions.earth_facts import cut_fact, job_earth_facts
from service.core.cautions.facts import unit_weight_fact, wall_facts
from service.core.cautions.load_facts import above_fact, unbalanced_facts
from service.core.cautions.permit_heights import permit_fact, permit_heights
from service.core.cautions.place_facts import pad_fact
from service.core.cautions.site_facts import site_facts
from service.core.ground.balance import balance
from service.core.job.fact import Fact, Facts
from service.core.job.job import Soils
from service.core.job.jurisdiction import HeightFrom
from service.core.job.site import Site
from service.core.job.spec import EndKind, Ends
from service.core.measure import METRIC, US
from service.core.takeoff.stone import pad_sides_m2
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.earth import dig_section, dug, ground_wall, soil
from tests.given.quote_requests import shipped_request
from tests.given.set_walls import jumping
from tests.given.walls import (
    corner,
    entry,
    ft,
    inch,
    laid,
    level_wall,
    quarter_circle,
    section,
    straight,
    system,
    to_ft2,
    to_yd3,
    unit,
    wall,
)

REACH = 2.0  # wall heights


def test_drop_at_edge_goes_to_the_top_as_built() -> None:
    """Courses of 8 in from a base at -8 in and a cap of 4 in: a requested top of 5 ft 9 in is built
    at the joint of 72 in and the cap, 6 ft 4 in over the front grade. Source: 29 CFR
    1926.501(b)(1)."""
    layout = laid(level_wall(exposed=inch(69), level_from="base"))
    assert layout.courses[0].elevation_m == pytest.approx(inch(-8))
    facts = wall_facts(layout, section(), US)
    assert facts["exposed_height"].value == pytest.approx(inch(69))
    # joints -8, 0, 8 ... 72: the first at or over 69 - 4 = 65 in
    assert facts["drop_at_edge"].value == pytest.approx(inch(76))


def test_trench_depth_goes_from_under_the_pad_to_the_higher_ground() -> None:
    """The base stands 8 in below the front grade on a pad of 6 in; ground behind falls from 4 to
    3 ft above that grade: 8 + 6 + 48 in. An inch dug below the pad counts."""
    profile = (entry(0.0, ft(4)), entry("end", ft(4), 0.0, ft(3)))
    spec = wall((straight(ft(20)),), profile, level_from="base")
    layout = laid(spec)
    assert layout.courses[0].elevation_m == pytest.approx(inch(-8))
    for overdig_in in (0, 1):
        detail = section(pad_thickness=inch(6), overdig=inch(overdig_in))
        fact = wall_facts(layout, detail, US)["trench_depth"]
        assert fact.value == pytest.approx(inch(8 + 6 + 48 + overdig_in))


@pytest.mark.parametrize(
    ("height_from", "high_in"), [("pad_bottom", 67), ("lowest_unit", 60), ("front_grade", 48)]
)
def test_permit_height_goes_by_where_the_place_measures_from(
    height_from: HeightFrom, high_in: float
) -> None:
    """48 in exposed and 12 in buried, on a pad of 6 in over 1 in dug deeper and filled."""
    detail = section(pad_thickness=inch(6), overdig=inch(1))
    fact = permit_fact(laid(level_wall(exposed=ft(4))), detail, height_from, US)["permit_height"]
    assert fact.value == pytest.approx(inch(high_in))


@pytest.mark.parametrize(
    ("height_from", "high_in"), [("pad_bottom", 91), ("lowest_unit", 84), ("front_grade", 72)]
)
def test_permit_height_is_the_largest_along_the_wall(
    height_from: HeightFrom, high_in: float
) -> None:
    """A top of 48 in over ground that falls from 0 to -24 in: in courses of 8 in from 44 in down
    the base steps to -36 in at the end. 84 in of wall there, 7 in under it, 72 in over the
    ground."""
    spec = wall((straight(ft(40)),), (entry(0.0, inch(48)), entry("end", inch(48), inch(-24))))
    detail = section(pad_thickness=inch(6), overdig=inch(1))
    layout = laid(spec)
    fact = permit_fact(layout, detail, height_from, US)["permit_height"]
    assert fact.value == pytest.approx(inch(high_in))
    assert permit_heights([layout], detail, height_from) == {layout.name: fact.value}


@pytest.mark.parametrize(
    ("start", "finish", "structure", "exposed"),
    [
        ("into_grade", "finished", 0.0, 0.0),
        ("open", "into_grade", 0.0, 1.0),
        ("into_grade", "open", 0.0, 1.0),
        ("against_structure", "into_grade", 1.0, 0.0),
        ("into_grade", "against_structure", 1.0, 0.0),
    ],
)
def test_wall_facts_tell_an_end_at_a_structure_and_an_open_one(
    start: EndKind, finish: EndKind, structure: float, exposed: float
) -> None:
    """Either end is enough."""
    spec = level_wall(ends=Ends(start=start, finish=finish))
    facts = wall_facts(laid(spec), section(), US)
    assert facts["end_against_structure"].value == structure
    assert facts["exposed_end"].value == exposed


def test_sharpest_corner_is_the_smallest_angle_between_faces() -> None:
    """Turns of 30, 100 and 90 deg leave 150, 80 and 90 deg between the faces."""
    turns = (corner("outside", 30), corner("inside", 100), corner("outside", 90))
    parts = [part for turn in turns for part in (straight(ft(20)), turn)]
    fact = wall_facts(laid(level_wall((*parts, straight(ft(20))))), section(), US)["sharp_corner"]
    assert fact.value == pytest.approx(math.radians(80))
    assert fact.words == "Faces meet at 80 deg."


@pytest.mark.parametrize(("steps_ft", "near_ft"), [((8, 33), 7), ((5, 33), 5)])
def test_step_near_end_is_the_nearest_to_either_end(
    steps_ft: tuple[float, float], near_ft: float
) -> None:
    """Ground in front rises by a course at each of two stations of 40 ft: 7 ft from the end, or
    5 ft from the start."""
    spec = jumping(
        (straight(ft(40)),),
        (0.0, 4, 0),
        *((ft(at), 4, rise * 8 / 12) for at, rise in zip(steps_ft, (1, 2), strict=True)),
    )
    fact = wall_facts(laid(spec), section(), US)["base_step_near_end"]
    assert fact.value == pytest.approx(ft(near_ft))
    assert fact.words == f"Nearest step {near_ft} ft from the end."


@pytest.mark.parametrize(
    ("standard_lb", "corner_lb", "cap_lb", "words"),
    [
        (80, 60, 30, "The standard unit weighs 80 lb."),
        (60, 80, 30, "The corner unit weighs 80 lb."),
        (60, None, 80, "The cap weighs 80 lb."),
    ],
)
def test_unit_weight_is_that_of_the_heaviest(
    standard_lb: float, corner_lb: float | None, cap_lb: float, words: str
) -> None:
    """One person lifts the heaviest of the units, whichever it is."""
    kg = 0.45359237
    blocks = system(
        standard=unit(weight_kg=standard_lb * kg),
        corner=None if corner_lb is None else unit("corner", weight_kg=corner_lb * kg),
        cap=unit("cap", weight_kg=cap_lb * kg),
    )
    fact = unit_weight_fact(blocks, US)["unit_weight"]
    assert fact.value == pytest.approx(80 * kg)
    assert fact.words == words


def test_drop_at_edge_is_over_the_lowest_ground_below_that_top() -> None:
    """The top stays at 4 ft, and the ground falls from 0 to -2 ft along the wall: 6 ft at its
    end."""
    spec = wall((straight(ft(40)),), (entry(0.0, ft(4)), entry("end", ft(4), ft(-2))))
    facts = wall_facts(laid(spec), section(), US)
    assert facts["drop_at_edge"].value == pytest.approx(ft(6))


@pytest.mark.parametrize(
    ("surcharge_pa", "slope", "loaded"),
    [(0.0, 0.0, False), (2400.0, 0.0, True), (0.0, 0.5, True)],
)
def test_unbalanced_fill_is_back_grade_less_front_grade(
    surcharge_pa: float, slope: float, loaded: bool
) -> None:
    """3 ft 6 in behind and 3 in in front of a top of 4 ft: 3 ft 3 in are unbalanced, and a load or
    a slope above says so too."""
    spec = wall(
        (straight(ft(40)),),
        (
            entry(0.0, ft(4), inch(3), ft(3, 6)),
            entry("end", ft(4), inch(3), ft(3)),
        ),
    )
    layout = laid(replace(spec, surcharge_pa=surcharge_pa, back_slope=slope))
    facts = unbalanced_facts(layout, above_fact(layout, REACH, 0.0, US), "Clay: much.", US)
    assert facts["unbalanced_fill"].value == pytest.approx(inch(39))
    assert (
        facts["unbalanced_fill"].words
        == "The ground behind is 3.25 ft higher than in front. Clay: much."
    )
    assert ("unbalanced_fill_loaded" in facts) == loaded


def test_cut_fact_is_the_deepest_of_all_walls() -> None:
    """The deepest cut counts, with the distance that the place keeps free, in the quote's units."""
    facts: dict[str, Facts] = {
        "a": {"trench_depth": Fact(value=1.0)},
        "b": {"trench_depth": Fact(value=1.5)},
    }
    far = Fact(value=1.5, words="What is dug stays 0.6096 m or more from the edge.")
    assert cut_fact(facts, ft(2), METRIC)["open_cut"] == far
    assert cut_fact(facts, None, US)["open_cut"] == Fact(value=1.5)


def test_soil_moved_is_cut_and_fill_without_the_refill() -> None:
    """The refill of a wall's own cut is no soil moved."""
    spec = ground_wall((0, 4, 0, 2), (40, 4, 0, 2), graded_in_front_m=ft(3), graded_behind_m=ft(12))
    earth = balance([dug(spec, dig_section())], [], soil(), None, None, None, US)
    assert earth.backfill_m3 > 0
    assert earth.fill_m3 > 0
    moved = job_earth_facts(earth, US)["soil_moved"]
    assert to_yd3(moved.value) == pytest.approx(to_yd3(earth.cut_m3) + to_yd3(earth.fill_m3))


@pytest.mark.parametrize(
    ("under", "stone", "fabric", "bare"),
    [
        ("clay", True, None, 1.0),
        ("clay", True, "filter_fabric", 0.0),
        ("clay", False, None, 0.0),
        ("loam", True, None, 0.0),
        (None, True, None, 0.0),
    ],
)
def test_pad_fact_wants_fabric_between_clear_stone_and_clay(
    catalog: Catalog, under: str | None, stone: bool, fabric: str | None, bare: float
) -> None:
    """Clay, stone without fines and no fabric: all three together; the soil under the wall counts
    before the one behind it."""
    job, _ = to_core(read_request(shipped_request(), catalog), catalog)
    pad = replace(job.section.leveling_pad, fabric=fabric)
    item = replace(job.materials[pad.item], open_graded=stone)
    job = replace(
        job,
        section=replace(job.section, leveling_pad=pad),
        materials={pad.item: item},
        soils=Soils(
            retained=catalog.soils["silty_sand"].core,
            foundation=catalog.soils[under].core if under else None,
        ),
    )
    fact = pad_fact(job)["pad_without_fabric"]
    assert fact.value == bare
    title = catalog.soils[under or "silty_sand"].core.title
    assert fact.words == f"Under the pad: {title.lower()}."


def test_pad_sides_are_as_long_as_the_base_course() -> None:
    """40 ft of wall, 6 in of stone and 2 in of overdig, 6 in beyond each end: 2 x 8/12 x 41 ft2."""
    pad = section(overdig=inch(2), end_extension=inch(6)).leveling_pad
    assert to_ft2(pad_sides_m2(laid(level_wall()), pad)) == pytest.approx(2 * 8 / 12 * 41)


def test_pad_sides_follow_the_face_of_the_base_course_around_a_curve() -> None:
    """Around a quarter of a circle of 20 ft the face itself counts, no line behind it: two sides
    of 8/12 ft by 10 pi + 1 ft."""
    pad = section(overdig=inch(2), end_extension=inch(6)).leveling_pad
    bent = laid(level_wall(quarter_circle("outside"), inch(40)))
    expected = 2 * 8 / 12 * (10 * math.pi + 1)
    assert to_ft2(pad_sides_m2(bent, pad)) == pytest.approx(expected)


def test_site_facts_hold_overhead_lines_at_any_distance() -> None:
    """Lines that are there are a caution, with their distance where it was said."""
    layouts = [laid(level_wall())]
    near = site_facts(Site(power_lines=True, power_line_m=ft(25)), layouts, US)["power_lines"]
    assert near == Fact(value=1.0, words="They are 25 ft away.")
    assert site_facts(Site(power_lines=True), layouts, US)["power_lines"] == Fact(value=1.0)
    assert site_facts(Site(), layouts, US)["power_lines"].value == 0
