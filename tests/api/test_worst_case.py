"""The most work a request may ask for: it is answered, or refused, within a few seconds.

A body of 1 MiB holds 50 walls of 200 plan parts, or 15,000 profile entries; a wall may be 98 ft
high. What matters is their product, so each is taken to its bound together with the others.
"""

from __future__ import annotations

import json
import math
import time

import pytest
from starlette.testclient import TestClient

from service.api import calculating
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import Json, shipped_request
from tests.given.quote_work import work_of_a_quote

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work


@pytest.fixture(autouse=True)
def _calculated_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Everything is calculated in this process, whose time is measured."""
    monkeypatch.setattr(calculating, "SMALL_MS", math.inf)


JSON = {"Content-Type": "application/json"}
LENGTH_FT = 3996
# As many plain quotes are twice the work of what takes most of those that are answered.
MOST_QUOTES = 700
TOO_MANY_VALUES, TOO_MUCH_WORK = "too-long", "layout-too-large"
TOO_MUCH_COMPARED = "comparison-too-large"
TOO_MUCH_CALCULATED = "quote-too-large"


def parts(kind: str, count: int) -> list[Json]:
    """A plan of so many parts over the whole length."""
    if kind == "straight":
        return [{"kind": "straight", "length": f"{LENGTH_FT / count:.2f} ft"}] * count
    if kind == "curve":
        sides = ("inside", "outside")
        length = f"{LENGTH_FT / count:.2f} ft"
        return [
            {"kind": "curve", "side": sides[n % 2], "radius": "40 ft", "length": length}
            for n in range(count)
        ]
    legs = count // 2
    leg = {"kind": "straight", "length": f"{LENGTH_FT / legs:.2f} ft"}
    plan: list[Json] = []
    for n in range(legs):
        plan += [leg, {"kind": "corner", "side": ("inside", "outside")[n % 2], "angle": "60 deg"}]
    return plan[:-1]


def zigzag(count: int, high: float) -> list[Json]:
    """A profile whose top falls and rises by 2 ft between entries."""
    stations = [f"{n * 3900 / count:.2f} ft" for n in range(count - 1)]
    return [
        {"station": station, "front_grade": "0 ft", "top": f"{high - 2 * (n % 2)} ft"}
        for n, station in enumerate([*stations, "end"])
    ]


def walls(kind: str, count: int, part_count: int, entries: int, high: float) -> list[Json]:
    """Walls of one shape."""
    wall = {"plan": parts(kind, part_count), "profile": zigzag(entries, high)}
    return [wall] * count


# A body holds more than 20,000 values, or more plan parts x courses and steps than 20,000: refused.
# Those without a code are quoted, and lie near the bound.
Shape = tuple[str, int, int, int, float]
CASES: dict[str, tuple[Shape, str | None]] = {
    "one wall, 1,000 entries, 200 parts": (("straight", 1, 200, 1000, 98.0), TOO_MUCH_WORK),
    "one wall, 1,000 entries, 199 corners and legs": (("corner", 1, 200, 1000, 9.0), None),
    "20 walls of 50 legs": (("corner", 20, 100, 20, 9.0), None),
    "10 walls of 100 legs": (("corner", 10, 200, 20, 9.0), None),
    "10 walls of 100 legs, 40 ft high": (("corner", 10, 200, 20, 40.0), TOO_MUCH_WORK),
    "14 walls of 1,000 entries": (("straight", 14, 1, 1000, 4.0), TOO_MANY_VALUES),
    "50 walls of 300 entries": (("straight", 50, 1, 300, 4.0), TOO_MANY_VALUES),
    "50 walls of 200 parts, 90 ft high": (("straight", 50, 200, 2, 90.0), TOO_MANY_VALUES),
    "50 walls of 200 curves, 90 ft high": (("curve", 50, 160, 2, 90.0), TOO_MANY_VALUES),
    "50 walls of 100 legs": (("corner", 50, 200, 20, 9.0), TOO_MANY_VALUES),
    "50 walls of 100 legs, 40 ft high": (("corner", 50, 200, 40, 40.0), TOO_MANY_VALUES),
}


@pytest.mark.parametrize("name", CASES)
def test_the_largest_quotes_take_a_few_seconds(client: TestClient, name: str) -> None:
    """Whatever fits into a body is quoted or refused as too large, soon."""
    shape, refusal = CASES[name]
    request = shipped_request(*walls(*shape), rates="small_crew", terms="standard")
    _within_bounds(client, "/v1/quotes", request, refusal)


@pytest.mark.parametrize(
    ("shape", "refusal"),
    [
        (("straight", 1, 1, 1000, 4.0), TOO_MUCH_CALCULATED),
        (("straight", 50, 200, 2, 4.0), TOO_MANY_VALUES),
        (("curve", 1, 160, 300, 4.0), TOO_MUCH_WORK),
        (("curve", 1, 160, 100, 4.0), None),
    ],
    ids=["1,000 entries", "50 walls of 200 parts", "160 curves, 300 entries", "160 curves"],
)
def test_the_largest_walls_dug_take_a_few_seconds(
    client: TestClient, shape: Shape, refusal: str | None
) -> None:
    """The same with existing ground: every change of shape is a section to draw."""
    dug = []
    for wall in walls(*shape):
        first, *rest = wall["profile"]
        profile = [{**first, "existing_grade": "2 ft"}, *rest]
        graded = {"graded_in_front": "3 ft", "graded_behind": "3 ft", "existing_slope": "20:1"}
        dug.append({**wall, "profile": profile, **graded})
    request = shipped_request(*dug, soils={"retained": "silty_sand"}, rates="small_crew")
    _within_bounds(client, "/v1/quotes", request, refusal)


@pytest.mark.parametrize(
    "more",
    [
        {"heights_that_fit": True},
        {"alternatives": [{"section": "deep_pad"}] * 10},
        {"alternatives": [{"section": "deep_pad"}] * 10, "heights_that_fit": True},
    ],
    ids=["heights", "alternatives", "both"],
)
@pytest.mark.parametrize(
    "shape",
    [("curve", 10, 160, 2, 90.0), ("corner", 10, 200, 100, 9.0)],
    ids=["10 walls of 160 curves", "10 walls of 100 legs"],
)
def test_the_largest_quotes_are_not_compared(client: TestClient, shape: Shape, more: Json) -> None:
    """What is too large to be quoted is too large to be compared."""
    quote = shipped_request(*walls(*shape), rates="small_crew", terms="standard")
    _within_bounds(client, "/v1/comparisons", {"quote": quote, **more}, TOO_MUCH_WORK)


@pytest.mark.parametrize(
    ("more", "refusal"),
    [
        ({"heights_that_fit": True}, TOO_MUCH_COMPARED),
        ({"alternatives": [{"section": "deep_pad"}] * 10}, None),
        (
            {"alternatives": [{"section": "deep_pad"}] * 10, "heights_that_fit": True},
            TOO_MUCH_COMPARED,
        ),
    ],
    ids=["heights", "alternatives", "both"],
)
def test_the_largest_comparisons_take_a_few_seconds(
    client: TestClient, more: Json, refusal: str | None
) -> None:
    """A comparison is many quotes: it has a bound of its own, on the work of all of them."""
    shape = ("corner", 3, 100, 50, 9.0)
    quote = shipped_request(*walls(*shape), rates="small_crew", terms="standard")
    _within_bounds(client, "/v1/comparisons", {"quote": quote, **more}, refusal)


def _within_bounds(client: TestClient, path: str, request: Json, refusal: str | None) -> None:
    body = json.dumps(request, separators=(",", ":")).encode("utf-8")
    assert len(body) <= 1024 * 1024
    most = MOST_QUOTES * work_of_a_quote(client)
    started = time.process_time()  # of this process, whatever else the machine does
    response = client.post(path, content=body, headers=JSON)
    took = time.process_time() - started
    if refusal is None:
        assert response.status_code == 200, response.text
    else:
        assert_problem(response, 422, refusal)
    assert took < most
