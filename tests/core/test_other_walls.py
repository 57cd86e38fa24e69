"""Walls of fewer courses or deeper units in place of one that fails."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.quote import planned
from service.core.would_pass.alternative import Offered
from service.core.would_pass.other_walls import other_walls
from tests.given.failing_walls import NOTHING, job_of
from tests.given.screened import set_wall
from tests.given.walls import to_inch


def test_other_walls_lower_the_walls_that_fail_alone() -> None:
    """Soil of 30 deg behind units with a setback of 3/4 in: four courses stand (set: tallest), so
    that six lose two, 48 in become 32 in; the wall of three courses beside them keeps its own."""
    job, _ = job_of(set_wall("4 ft"), set_wall("2 ft"))
    (lower,) = other_walls(planned(job, None), NOTHING, None)
    assert lower.changes == ("fewer_courses",)
    for levels in ("top_m", "back_grade_m"):
        found = [to_inch(getattr(e, levels)) for wall in lower.job.walls for e in wall.profile]
        assert found == pytest.approx([32, 32, 24, 24])


def test_other_walls_lower_nothing_that_fails_six_courses_lower_still() -> None:
    """Eleven courses would lose seven to come to four; ten lose six."""
    for height, changes in (("88 in", []), ("80 in", [("fewer_courses",)])):
        job, _ = job_of(set_wall(height))
        found = other_walls(planned(job, None), NOTHING, None)
        assert [each.changes for each in found] == changes


def test_other_walls_of_units_as_deep_are_none_of_deeper_ones() -> None:
    """Units of the same depth and thrice the weight pass, but aren't deeper; those of 13 in are."""
    soils = {"retained": "phi30", "foundation": "phi36", "fill": "phi30"}
    job, _ = job_of(set_wall("4 ft"), soils=soils, section="strong_pad")
    assert job.system.in_place_weight_n_m3 is not None
    heavy = replace(
        job.system, id="heavy", in_place_weight_n_m3=3 * job.system.in_place_weight_n_m3
    )
    deep = replace(heavy, id="deep", standard=replace(heavy.standard, depth_m=13 * 0.0254))
    found = other_walls(planned(job, None), Offered(soils=(), systems=(heavy, deep)), None)
    assert [each.job.system.id for each in found if each.changes == ("deeper_units",)] == ["deep"]
