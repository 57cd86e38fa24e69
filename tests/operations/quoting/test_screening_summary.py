"""What the checks come to in plain words: every wall by name, and never a promise.

Stacks G1 and G2 are rows of tests/reference/gravity.toml.
"""

from __future__ import annotations

import itertools
import re

import pytest

from service.catalog import Catalog
from tests.given.quote_requests import Json, answered
from tests.given.screened import STATED, set_request, set_wall, without

pytestmark = pytest.mark.no_cover  # others run the same lines

# What a first look can't say of a wall.
PROMISES = re.compile(
    r"\b(safe|safely|safety|guarantee\w*|certif\w*|approved?|stable|sound|will stand|"
    r"is adequate|meets (the )?code|complies|no engineer|no permit)\b",
    re.IGNORECASE,
)
HEIGHTS = ("32 in", "4 ft", "8 ft")
WAYS = ("none", "compare", "where_needed", "all")


def summary(found: Json) -> list[str]:
    """The sentences."""
    lines: list[str] = found["screening"]["summary"]
    return lines


@pytest.mark.parametrize(("how", "basis"), list(itertools.product(WAYS, ("association", "fhwa"))))
def test_summary_names_every_wall_and_promises_nothing(sets: Catalog, how: str, basis: str) -> None:
    """Walls that pass, fail or aren't known, plain and layered: named, and deferred to others."""
    walls = [set_wall(height, name=f"wall at {height}") for height in HEIGHTS]
    screening = {"basis": basis, "reinforcement": how}
    for more in ({}, {"wall_system": "bare"}):
        lines = summary(answered(set_request(*walls, screening=screening, **more), sets))
        for wall in walls:
            assert any(line.startswith(f"{wall['name']}:") for line in lines)
        assert not PROMISES.search(" ".join(lines))
        assert "local code" in lines[-1]
        assert "engineer" in lines[-1]
        assert "no design" in lines[-1]


def test_summary_tells_a_wall_that_fails_from_one_that_passes(sets: Catalog) -> None:
    """Stack G1 beside stack G2: one passes this first look, the other asks for an engineer."""
    walls = (set_wall("32 in", name="low"), set_wall("4 ft", name="high"))
    low, high, *_ = summary(answered(set_request(*walls), sets))
    assert low.startswith("low: passes this first look")
    assert high.startswith("high: does not pass")
    assert "engineer" in high


def test_summary_says_which_checks_were_not_made(sets: Catalog) -> None:
    """Ground falls away in front: bearing was not looked at, so the wall's line says so."""
    walls = (set_wall("32 in", name="level"), set_wall("32 in", name="hill", front_slope="3:1"))
    lines = summary(answered(set_request(*walls, wall_system="sheared"), sets))
    (level,) = (line for line in lines if line.startswith("level:"))
    (hill,) = (line for line in lines if line.startswith("hill:"))
    assert "not checked" not in level.lower()
    assert "not checked" in hill.lower()
    assert "bearing" in hill


@pytest.mark.parametrize("key", ["soils", "wall_system"])
def test_summary_of_a_wall_without_data_says_that_it_was_not_checked(
    sets: Catalog, key: str
) -> None:
    """Without soil, or without the weight of the units, nothing is said to pass."""
    request = set_request(set_wall("32 in"))
    bare = without(request, "soils") if key == "soils" else {**request, "wall_system": "bare"}
    line = summary(answered(bare, sets))[0]
    assert "could not be checked" in line
    assert "passes" not in line


def test_summary_of_a_wall_that_water_can_t_leave_doesn_t_pass_it(sets: Catalog) -> None:
    """No way out for water: the checks are those of a drained wall, and a line says so."""
    drained, shut = (
        summary(answered(set_request(set_wall("32 in"), water={"outlet": outlet}), sets))
        for outlet in ("daylight", "none")
    )
    assert not any("water" in line for line in drained)
    assert any(line.startswith("wall-1:") and "water" in line for line in shut)


def test_summary_says_that_a_pass_rests_on_assumptions(sets: Catalog) -> None:
    """Nothing was said of slope and load: the line of the wall doesn't hide it."""
    said, assumed = (
        summary(answered(set_request(wall), sets))[0]
        for wall in (set_wall("32 in"), without(set_wall("32 in"), *STATED))
    )
    assert "assumptions" not in said
    assert "assumptions" in assumed


def test_summary_speaks_of_engineer_and_permit_where_the_place_does(sets: Catalog) -> None:
    """5 ft: over the 4 ft of the plain rules for both; 16 in: for neither. The reason is named."""
    tall, short = (
        " ".join(summary(answered(set_request(set_wall(height)), sets))[1:-1])
        for height in ("5 ft", "16 in")
    )
    assert "reviewed by a licensed engineer, because of the height of a wall" in tall
    assert "permit" in tall
    assert short == ""


def test_summary_of_layers_calls_them_preliminary(sets: Catalog) -> None:
    """Quoted layers are a layout to be priced; an engineer designs them."""
    screening = {"reinforcement": "where_needed"}
    line = summary(answered(set_request(set_wall("4 ft"), screening=screening), sets))[0]
    assert "preliminary" in line
    assert "engineer" in line


def test_summary_says_whether_the_layers_shown_would_be_enough(sets: Catalog) -> None:
    """Under 4,000 psf one check of the layers fails and others pass: they are not enough. Without
    a load each passes."""
    screening = {"reinforcement": "compare"}
    words = {
        "4000 psf": "w: the layers of reinforcement shown would not be enough either.",
        "0 psf": "w: with the layers of reinforcement shown it would pass this first look.",
    }
    for load, expected in words.items():
        wall = set_wall("6 ft", name="w", surcharge=load)
        assert expected in summary(answered(set_request(wall, screening=screening), sets))
