"""Spans of a wall: where they are cut, where their stone begins, how far reinforcement runs.

40 ft of wall in courses of 6 in, the lowest of which begins two under the lowest front grade.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest

from service.core.ground.excavation import asked_digging
from service.core.ground.ground import measure_ground
from service.core.ground.span import Span, spans_of
from service.core.ground.trench import Reach
from service.core.job.section import Section
from service.core.job.spec import WallSpec
from service.core.rounding import CLOSE_M
from tests.given.earth import EARTH_RULES, FOOT_DEEP, SIX_HIGH, dig_section, ground_wall, soil
from tests.given.walls import ft, inch, laid, legs, to_ft

# front grade from 0.1 ft to 1.6 ft: 0.0375 ft on a foot of wall
RISING = ground_wall((0, 6.1, 0.1, 2), (40, 6.1, 1.6, 2))
FALLING = ground_wall((0, 6.1, 1.6, 2), (40, 6.1, 0.1, 2))


def spans(spec: WallSpec, detail: Section, reaches: Sequence[Reach] = ()) -> list[Span]:
    """The spans of a wall, piece by piece."""
    layout = laid(spec, SIX_HIGH, detail)
    digging = asked_digging(detail, soil(), EARTH_RULES).digging
    digging = replace(digging, reaches=tuple(reaches))
    ground = measure_ground(layout)
    return [span for p in layout.plan.pieces for span in spans_of(layout, digging, ground, p)]


def stone(found: Sequence[Span]) -> list[tuple[float, ...]]:
    """Where each span begins and ends, and the bottom of its stone, in feet."""
    return [
        tuple(round(to_ft(each), 6) for each in (span.from_m, span.to_m, span.stone_bottom_m))
        for span in found
    ]


# Joints lie at 0.1 ft and every half foot over it. 10 in deep the base steps up where its next
# course has 10 in over it, at front grades of 0.1 + 1/3 ft and every half foot over it.
STEPS = [(1 / 3 + n / 2) / 0.0375 for n in range(3)]
JOINTS = [n / 2 / 0.0375 for n in range(4)]


def test_spans_begin_their_stone_at_the_joint_under_the_front_grade() -> None:
    """10 in deep the base lies a course and more under the front grade: stone begins at the joint
    below that grade, in spans cut where the base steps and where the grade passes a joint."""
    detail = dig_section(minimum=inch(10), starts_at="buried_course")
    cuts = sorted((*STEPS, *JOINTS))
    expected = [(a, b, 0.1 + 0.5 * int(0.0375 * (a + b) / 2 / 0.5)) for a, b in pairwise(cuts)]
    found = stone(spans(RISING, detail))
    assert found == [pytest.approx(each, abs=1e-5) for each in expected]
    mirrored = [(40 - b, 40 - a, level) for a, b, level in reversed(expected)]
    assert stone(spans(FALLING, detail)) == [pytest.approx(each, abs=1e-5) for each in mirrored]


def test_spans_begin_their_stone_on_the_pad() -> None:
    """On the pad stone begins with the base course: nothing is cut where the front grade passes a
    joint."""
    cuts = (0, *STEPS, 40)
    expected = [(a, b, -0.9 + 0.5 * n) for n, (a, b) in enumerate(pairwise(cuts))]
    found = stone(spans(RISING, dig_section(minimum=inch(10))))
    assert found == [pytest.approx(each, abs=1e-5) for each in expected]


def test_spans_are_cut_once_where_the_base_steps_at_a_joint() -> None:
    """A foot deep the base steps just where the front grade passes a joint."""
    detail = dig_section(minimum=inch(12), starts_at="buried_course")
    expected = [(a, b, 0.1 + 0.5 * n) for n, (a, b) in enumerate(pairwise(JOINTS))]
    found = stone(spans(RISING, detail))
    assert found == [pytest.approx(each, abs=1e-5) for each in expected]


def test_spans_are_not_cut_where_the_front_grade_runs_along_a_joint() -> None:
    """A foot deep under 0.7 ft the front grade is a joint all along the wall."""
    detail = dig_section(minimum=inch(12), starts_at="buried_course")
    level = ground_wall((0, 4.2, 0.7, 1), (40, 4.2, 0.7, 1))
    assert stone(spans(level, detail)) == [pytest.approx((0, 40, 0.7))]


def test_spans_begin_their_stone_above_the_base_course() -> None:
    """5 in deep the base course is the only buried one: stone begins on it, a joint above the base,
    though past each step the front grade has not come to that joint yet."""
    detail = dig_section(minimum=inch(5), starts_at="buried_course")
    found = spans(RISING, detail)
    assert len({span.stretch.base for span in found}) == 4
    layout = laid(RISING, SIX_HIGH, detail)
    assert [span.stone_bottom_m for span in found] == [
        layout.grid.level_m(span.stretch.base + 1) for span in found
    ]


LEVEL = ground_wall((0, 4, 0, 1), (40, 4, 0, 1), plan=legs("inside", 90, ft(15), ft(25)))


def reach(from_ft: float, to_ft: float, reach_ft: float) -> Reach:
    """A stretch of reinforcement, in feet."""
    return Reach(from_m=ft(from_ft), to_m=ft(to_ft), reach_m=ft(reach_ft))


def test_spans_are_cut_where_reinforcement_begins_and_ends() -> None:
    """From 3 to 7 ft it runs back 5 ft, on to 15 ft, where the plan turns, 6 ft; from 21 to 33 ft
    4 ft; nowhere else."""
    reaches = reach(3, 7, 5), reach(7, 15, 6), reach(21, 33, 4)
    found = [
        tuple(to_ft(each) for each in (span.from_m, span.to_m, span.reach_m))
        for span in spans(LEVEL, FOOT_DEEP, reaches)
    ]
    assert found == [
        pytest.approx(each)
        for each in (
            *((0, 3, 0), (3, 7, 5), (7, 15, 6), (15, 21, 0), (21, 33, 4)),
            (33, 40, 0),
        )
    ]


def test_spans_stand_on_the_ground_between_the_entries_around_them() -> None:
    """Ground is given at 0, 20, 33 and 40 ft: three spans, each between two entries."""
    spec = ground_wall((0, 4, 0, 1), (20, 4, 0, 2), (33, 4, 0, 1.5), (40, 4, 0, 1))
    found = [(span.existing.entry, to_ft(span.from_m)) for span in spans(spec, FOOT_DEEP)]
    assert found == [(0, 0), (1, pytest.approx(20)), (2, pytest.approx(33))]


def test_spans_are_no_shorter_than_a_mark() -> None:
    """Levels that jump half a thousandth of an inch past a corner leave no span between both."""
    jump = 15 + CLOSE_M / 2 / 0.3048
    spec = ground_wall(
        (0, 4, 0, 1), (jump, 4, 0, 1), (jump, 6, 2, 1), (40, 6, 2, 1), plan=LEVEL.plan
    )
    found = [(span.from_m, span.to_m) for span in spans(spec, FOOT_DEEP)]
    assert found == [pytest.approx(each) for each in ((0, ft(15)), (ft(jump), ft(40)))]
