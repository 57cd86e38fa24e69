"""A job with changes: laid out and screened anew, and what the worst of its checks is."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.quote import planned
from service.core.would_pass.tried import tried
from tests.given.failing_walls import failing, job_of, soils_of
from tests.given.screened import set_wall
from tests.given.statics import leaning
from tests.given.walls import inch


def test_tried_tells_the_worst_of_the_checks_that_fail() -> None:
    """Stack G2 with fill of 34 deg: 480 lb/ft of units at 0.65625 ft from the toe hold less of
    the 1.5 by which they must not slide, on a pad of 25 deg, than by which they must not turn."""
    soils = {"retained": "phi30", "foundation": "phi36", "fill": "phi30"}
    job, _ = job_of(set_wall("4 ft"), soils=soils, section="weak_pad")
    changed = replace(job, soils=replace(job.soils, fill=soils_of(34)[0]))
    found = tried(("better_fill",), changed, planned(job, None))
    push = leaning(34, math.degrees(math.atan(0.75 / 8))).horizontal * 120 * 4**2 / 2
    slides, turns = 480 * math.tan(math.radians(25)) / push, 480 * 0.65625 / (push * 4 / 3)
    assert slides < turns < 1.5
    assert found.check is not None
    assert found.check.check == "base_sliding"
    assert found.check.value == pytest.approx(slides)
    assert found.share == pytest.approx(slides / 1.5)


def test_tried_lays_units_of_another_height_out_anew() -> None:
    """Three courses of 16 in fail as six of 8 in do: six of 16 in, 8 ft, would pass."""
    job, _ = failing()
    unit = replace(job.system.standard, height_m=inch(16), depth_m=inch(12.5))
    high = replace(job, system=replace(job.system, standard=unit, setback_m=inch(1.5)))
    assert not tried(("deeper_units",), high, planned(job, None)).passes
