"""Slices of a wall beyond its ends: the pad's extension, then the sloped end, then nothing."""

from __future__ import annotations

import pytest

from service.core.ground.dug_wall import DugWall
from service.core.ground.excavation import asked_digging, dig_out
from service.core.job.spec import Ends
from service.core.measure import US
from tests.given.earth import BETWEEN, EARTH_RULES, dig_section, ground_wall, soil
from tests.given.set_walls import UPRIGHT
from tests.given.walls import ft, inch, laid, to_ft

OPEN = Ends(start="open", finish="open")


def dug_wall(ends: Ends, cut_slope: float) -> DugWall:
    """40 ft in level ground at 1 ft, its pad a foot longer at each end: the pad's top lies 8 in
    under 0."""
    detail = dig_section(minimum=inch(8), cut_slope=cut_slope, end_extension=ft(1))
    spec = ground_wall(
        (0, 4, 0, 1), (40, 4, 0, 1), ends=ends, graded_in_front_m=0.0, graded_behind_m=0.0
    )
    asked = asked_digging(detail, soil(class_="B"), EARTH_RULES)
    found = dig_out(laid(spec, UPRIGHT, detail), asked, US)
    assert found is not None
    return found.wall


@pytest.mark.parametrize(
    ("ends", "cut_slope", "reach_ft"),
    [(BETWEEN, 1.0, 1.0), (OPEN, 0.0, 1.0), (OPEN, 1.0, 1 + 5 / 3), (OPEN, 0.5, 1 + 5 / 6)],
    ids=["against structures", "an upright cut", "1:1", "1/2:1"],
)
def test_a_slice_ends_with_the_earthwork_beyond_an_end(
    ends: Ends, cut_slope: float, reach_ft: float
) -> None:
    """The extension of a foot, and where the cut slopes off what it needs for 5/3 ft of height."""
    wall = dug_wall(ends, cut_slope)
    for at_start in (True, False):
        assert to_ft(wall.reach_m(at_start)) == pytest.approx(reach_ft)
        for away, left in ((0.999, True), (reach_ft - 0.001, True), (reach_ft, False), (4, False)):
            station = -ft(away) if at_start else wall.length_m + ft(away)
            assert (wall.slice_at(station) is not None) == left, away


def test_a_slice_past_the_extension_is_less_than_the_trench() -> None:
    """Where the extension ends only the sloped end is left: no deeper than the pad's top."""
    wall = dug_wall(OPEN, 1.0)
    within, past = wall.slice_at(-ft(0.999)), wall.slice_at(-ft(1))
    assert within is not None
    assert past is not None
    assert to_ft(max(first for _, first, _, _ in within.cut)) == pytest.approx(5 / 3 + 0.5)
    assert to_ft(max(first for _, first, _, _ in past.cut)) == pytest.approx(5 / 3)
