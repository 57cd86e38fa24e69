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
from service.core.job.section import Section
from service.core.job.spec import WallSpec
from service.core.job.topsoil import NO_TOPSOIL, Topsoil
from service.core.job.wall_system import WallSystem
from service.core.measure import US
from tests.given.earth import EARTH_RULES, FOOT_DEEP, SIX_HIGH, dig_section, ground_wall, soil
from tests.given.walls import ft, inch, laid, system, to_ft, unit

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
        (1.25, 0, 4 / 12 + 2),
        (-1.3, 0, 9 / 12 + 1),
    ],
    ids=["stone", "no stone", "the top of stone", "lower stone", "under the base"],
)
def test_bare_ground_behind_begins_at_what_stands_highest_under_it(
    back: float, stops_in: float, start: float
) -> None:
    """At the back of stone and units where they end under it, never before that of the top
    course."""
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
