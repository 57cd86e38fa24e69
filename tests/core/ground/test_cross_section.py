"""One cross-section by hand: bare ground, soil before the units, behind them and beyond the cut.

Courses of 6 in that set back 1 in each, 12 in deep, base 1 ft under a front grade of 0 unless
something else is said: course n, from 0, stands from n / 2 - 1 ft up, its face n / 12 ft behind the
plan line. Trench from -0.5 to 1.5 ft, 1.5 ft deep, floor to 2 ft at -1 ft, stone 1 ft wide up to
the requested top of 4 ft, cut at 1:1. Feet and ft2.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.ground.cross_section import CrossSection
from service.core.ground.excavation import asked_digging, dig_out
from service.core.ground.region import clipped, moments
from service.core.job.section import Section
from service.core.job.spec import WallSpec
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
from service.core.job.wall_system import WallSystem
from service.core.measure import US
from service.core.rounding import CLOSE_M
from tests.given.earth import EARTH_RULES, FOOT_DEEP, SIX_HIGH, dig_section, ground_wall, soil
from tests.given.walls import ft, inch, laid, system, to_ft, unit

CLOSE_FT = CLOSE_M / 0.3048
LEANING = system(standard=unit(height=inch(6)), cap=None, setback=inch(1))
CAPPED = system(standard=unit(height=inch(6)), setback=inch(1))


def terrace(
    existing: float = 0.0, *, top: float = 4, front: float = 0.0, back: float | None = None
) -> WallSpec:
    """40 ft of wall on level ground, graded 3 ft in front and 9 ft behind."""
    return ground_wall(
        (0, top, front, existing),
        (40, top, front, existing),
        back=back,
        graded_in_front_m=ft(3),
        graded_behind_m=ft(9),
    )


def section_of(
    spec: WallSpec,
    detail: Section = FOOT_DEEP,
    blocks: WallSystem = LEANING,
    topsoil: Topsoil = NO_TOPSOIL,
) -> CrossSection:
    """The section of a wall 1.5 ft from its start."""
    asked = asked_digging(detail, soil(class_="B"), EARTH_RULES, topsoil)
    found = dig_out(laid(spec, blocks, detail), asked, US)
    assert found is not None
    return found.wall.section_at(ft(1.5))


def reaches(section: CrossSection) -> list[tuple[float, float]]:
    """Where bare ground begins and ends, in front and behind."""
    assert {high for _, a, _, b in section.bare for high in (a, b)} == {1.0}
    return [(to_ft(x1), to_ft(x2)) for x1, _, x2, _ in section.bare]


@pytest.mark.parametrize(
    ("front", "detail", "face"),
    [
        (0.0, FOOT_DEEP, 1),
        (0.3, FOOT_DEEP, 2),
        (0.0, dig_section(minimum=0.0, shares=((0.0, 0.0),)), 0),
    ],
    ids=["a joint", "between joints", "the base"],
)
def test_bare_ground_in_front_ends_at_the_face_that_it_meets(
    front: float, detail: Section, face: int
) -> None:
    """At a joint it meets the course under it, but no course under the base."""
    found = section_of(terrace(front + 0.2, front=front), detail)
    assert reaches(found)[0] == pytest.approx((-3, face / 12))


def test_bare_ground_in_front_of_a_cap_ends_at_the_face_of_the_top_course() -> None:
    """Top at 4 ft 4 in with a cap of 4 in: ten courses, and a front grade in the middle of the
    cap."""
    grade = 4 + 1 / 6
    found = section_of(
        terrace(grade + 0.2, top=4 + 1 / 3, front=grade), dig_section(minimum=ft(5)), CAPPED
    )
    assert reaches(found)[0] == pytest.approx((-3, 9 / 12))


@pytest.mark.parametrize(
    ("back", "stops_in", "start"),
    [
        (4, 0, 9 / 12 + 2),
        (4, 8, 9 / 12 + 1),
        (4 - 8 / 12, 8, 8 / 12 + 2),
        (4 - 8 / 12 + 1.5 * CLOSE_FT, 8, 8 / 12 + 2),
        (4 - 8 / 12 + 2.5 * CLOSE_FT, 8, 9 / 12 + 1),
        (1.25, 0, 4 / 12 + 2),
        (-1.3, 0, 9 / 12 + 1),
    ],
    ids=[
        "stone",
        "no stone",
        "top of stone",
        "near it",
        "over it",
        "lower stone",
        "under the base",
    ],
)
def test_bare_ground_behind_begins_at_what_stands_highest_under_it(
    back: float, stops_in: float, start: float
) -> None:
    """At the back of stone and units where they end under it, or no more than twice the tolerance
    over it; never before that of the top course."""
    detail = dig_section(minimum=inch(12), stops_below_top=inch(stops_in))
    found = section_of(terrace(back=back, existing=min(back, 0) - 0.4), detail)
    assert reaches(found)[1] == pytest.approx((start, 9))


def areas(section: CrossSection) -> list[float]:
    """Cut, backfill and fill in ft2."""
    return [area / 0.3048**2 for area, _ in section.totals[:3]]


def test_the_trench_is_filled_back_to_ground_that_rises_before_the_wall() -> None:
    """Ground at -0.1 ft at the plan line rises 1:2 outward: it meets the front grade 0.2 ft out and
    stands 0.15 ft over it at the trench's front. Upright units: 0.5 x 1 and the triangle over it;
    behind them the floor's last 0.2 ft lie up to 0.1 ft over the ground."""
    spec = replace(terrace(-0.1), existing_slope=-0.5)
    _, backfill, _ = areas(section_of(spec, blocks=SIX_HIGH))
    assert backfill == pytest.approx(0.5 + 0.3 * 0.15 / 2 + 0.2 * 0.1 / 2)


LOWER_STONE = dig_section(minimum=inch(12), stops_below_top=inch(8))
FRONT = 0.5 * 0.5 + 0.5 * (0.5 + 1 / 12)  # soil before the two courses under 0
# stone of the first eight courses behind 2 ft, and of the ninth up to 3 ft 4 in
STONE = 0.5 * sum(range(8)) / 12
NINTH = 8 / 12 / 3


def test_soil_stands_before_a_cap_higher_than_a_course() -> None:
    """Cap of 8 in on nine courses of 6 in up to 4 ft, base at -0.5 ft, front grade 7 in up the cap:
    before course n soil of 0.5 + n / 12 ft, before the cap as much as before the ninth."""
    blocks = replace(CAPPED, cap=unit("cap", height=inch(8)))
    grade = 4 + 7 / 12
    spec = terrace(grade + 0.2, top=4 + 8 / 12, front=grade)
    found = section_of(spec, dig_section(minimum=ft(5)), blocks)
    in_front, _ = moments(clipped(found.backfill, -ft(1), ft(1)))
    courses = 0.5 * sum(0.5 + n / 12 for n in range(9))
    assert in_front / 0.3048**2 == pytest.approx(courses + 7 / 12 * (0.5 + 8 / 12))


def test_soil_before_the_units_follows_a_sloping_grade() -> None:
    """Front grade 0.1 ft at the plan line and 1:2 down outward: it passes the joint at 0 0.2 ft
    before the line. Whole before the base course; -0.15 ft at the trench's front before the next;
    a wedge before the third, up to 0.1 + 1/12 ft at its face."""
    spec = replace(terrace(2, front=0.1), front_slope=0.5)
    courses = (
        0.5 * 0.5,
        0.3 * (0.35 + 0.5) / 2 + (0.2 + 1 / 12) * 0.5,
        (0.2 + 2 / 12) * (0.1 + 1 / 12) / 2,
    )
    detail = dig_section(minimum=inch(12), shares=((0.0, 0.05), (0.5, 0.05)), cut_slope=0.0)
    found = section_of(spec, detail)
    assert areas(found)[1] == pytest.approx(sum(courses))


def test_soil_behind_fills_the_cut_up_to_finished_ground() -> None:
    """Ground at 3 ft, finished at 4 ft: the cut ends at 6 ft. From 2 ft on 4 ft over a slope from
    -1 to 3, less stone; before that what stands over the stone, from the units on."""
    found = section_of(terrace(3), LOWER_STONE)
    behind = 4 * 4 - 4 - STONE - NINTH
    over_stone = 1 / 6 * 1 / 3 + 0.5 * 0.25
    assert areas(found) == pytest.approx(
        [2 * 4.5 + 0.5 * 4 + 4 * 4 / 2 + 2.5 * 3, FRONT + behind + over_stone, 3 * 1]
    )
    assert to_ft(found.built_m) == pytest.approx(2 + 8 / 12)


def test_soil_behind_ends_at_existing_ground_where_finished_ground_has_met_it() -> None:
    """Finished ground falls 1:5 from 3.4 ft at 1.75 ft to ground of 3 ft at 3.75 ft, inside the cut
    that ends at 6 ft. It passes the top of the stone at 3 ft 4 in 25 in behind the line, and is
    13/60 ft over the eighth course where the stone of the ninth ends."""
    spec = replace(terrace(3, back=3.4), back_slope=-0.2)
    slope = 1.75 * (3.35 + 3) / 2 + 2.25 * 3 - 4
    ninth = 1 / 12 / 3 + 7 / 12 * (1 / 3 + 13 / 60) / 2
    over_stone = 1 / 3 * (1 / 12 + 1 / 60) / 2
    found = section_of(spec, LOWER_STONE)
    assert areas(found)[1] == pytest.approx(FRONT + slope - STONE - ninth + over_stone)
    assert areas(found)[2] == 0


def test_fill_lies_behind_stone_that_leans_out_over_the_cut() -> None:
    """Ground at -0.5 ft, the cut ends at 2.5 ft: behind it 4.5 ft of fill less what of the eighth
    and ninth courses' stone reaches beyond; 0.5 ft of it in front, from 3 ft to the trench."""
    cut, backfill, fill = areas(section_of(terrace(-0.5), LOWER_STONE))
    assert cut == pytest.approx(2 * 1 + 0.5 * 0.5 + 0.5**2 / 2)
    stone = 0.5 * sum(range(7)) / 12 + 0.5 * 0.5 + 0.5 / 3
    slope = 0.5 * 5 - 0.5**2 / 2
    assert backfill == pytest.approx(FRONT + slope - stone + 1 / 6 * 1 / 3 + 0.5 * 0.25)
    beyond = 0.5 * 1 / 12 + 1 / 3 * 2 / 12
    assert fill == pytest.approx(6.5 * 4.5 - beyond + 2.5 * 0.5)


def test_nothing_is_filled_between_stone_that_leans_out_where_grading_ends_with_the_cut() -> None:
    """The same graded no farther behind than the cut reaches."""
    spec = replace(terrace(-0.5), graded_behind_m=0.0)
    assert areas(section_of(spec, LOWER_STONE))[2] == pytest.approx(2.5 * 0.5)


@pytest.mark.parametrize(("cap_in", "before", "behind"), [(12, 0.25 / 3, 0), (20, 0, 5 / 12 / 3)])
def test_fill_lies_behind_a_cap_as_deep_as_it_is(cap_in: int, before: float, behind: float) -> None:
    """Cap 4 in high on ten courses, its face over the tenth's: 12 in deep it ends at 1.75 ft, 20 in
    deep at 29/12 ft. Upright cut up to 2 ft in ground of -0.5 ft, stone up to 3 ft 8 in, finished
    ground at 4 ft 4 in."""
    blocks = replace(CAPPED, cap=unit("cap", height=inch(4), depth=inch(cap_in)))
    detail = dig_section(minimum=inch(12), cut_slope=0.0, stops_below_top=inch(8))
    _, backfill, fill = areas(section_of(terrace(-0.5, top=4 + 1 / 3), detail, blocks))
    assert backfill == pytest.approx(FRONT + 0.25 / 3 + before)
    taken = 0.5 * sum(range(1, 9)) / 12 + 9 / 12 / 6 + behind
    assert fill == pytest.approx(7 * (4.5 + 1 / 3) - taken + 2.5 * 0.5)


def test_soil_goes_back_where_the_strip_is_deeper_than_the_slope() -> None:
    """6 in of topsoil off, 4 in put back, upright units: the top 6 in of the slope lie within the
    strip. Excavated from -1 to -0.5 ft over 0.5 ft and at -0.5 ft on to 3 ft; filled to 4 ft less
    4 in."""
    topsoil = Topsoil(strip_m=inch(6), replace_m=inch(4))
    found = section_of(terrace(), blocks=SIX_HIGH, topsoil=topsoil)
    behind = 4 - 1 / 3 + 0.5 * 0.75 + 0.5 * 0.5
    assert areas(found)[1] == pytest.approx(0.5 * (1 - 1 / 3) + behind)
