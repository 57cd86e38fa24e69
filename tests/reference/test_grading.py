"""Graded areas against grading.toml: values that were worked out without this program."""

from __future__ import annotations

import random
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from service.core.ground.grading import GradedArea
from service.core.job.graded import AverageDepth
from tests.given.graded import graded, grid, surveyed
from tests.given.walls import ft

Inputs = Mapping[str, Any]
Values = Mapping[str, float]
ROWS = tomllib.loads(Path(__file__).with_name("grading.toml").read_text(encoding="utf-8"))["row"]
FT3 = 0.3048**3


def volumes(area: GradedArea) -> Values:
    """Cut and fill in cubic feet and cubic yards."""
    cut, fill = area.cut_m3 / FT3, area.fill_m3 / FT3
    return {"cut": cut, "fill": fill, "cut_yd3": cut / 27, "fill_yd3": fill / 27}


def grid_check(inputs: Inputs) -> Values:
    """A grid of existing levels against one finished level."""
    levels = [[ft(level) for level in row] for row in inputs["existing"]]
    return volumes(graded(grid(levels, ft(inputs["finished"]), spacing=ft(inputs["spacing"]))))


def survey_check(inputs: Inputs) -> Values:
    """Corners and points inside them on one plane, against level 0."""
    chance = random.Random(7)  # noqa: S311  repeatable, no secret
    places = [(chance.uniform(0, 10), chance.uniform(0, 10)) for _ in range(inputs["inside"])]
    constant, east, north = inputs["constant"], inputs["east"], inputs["north"]
    inside = [(e, n, constant + east * e + north * n) for e, n in places]
    points = [(ft(e), ft(n), ft(z)) for e, n, z in (*inputs["corners"], *inside)]
    return volumes(graded(surveyed(points, [(ft(e), ft(n)) for e, n, _ in inputs["corners"]])))


def depth_check(inputs: Inputs) -> Values:
    """An area with an average depth of cut."""
    area_m2 = inputs["area"] * 0.3048**2
    return volumes(graded(AverageDepth(area_m2=area_m2, depth_m=ft(inputs["depth"]), work="cut")))


CHECKS: Mapping[str, Callable[[Inputs], Values]] = {
    "grid": grid_check,
    "survey": survey_check,
    "depth": depth_check,
}


@pytest.mark.parametrize("row", ROWS, ids=[row["name"] for row in ROWS])
def test_grading_agrees_with_outside_values(row: Mapping[str, Any]) -> None:
    """Each value of the table comes out within its tolerance."""
    found = CHECKS[row["check"]](row["inputs"])
    for name, value in row["expected"].items():
        assert found[name] == pytest.approx(value, abs=row["tolerance"]), name
