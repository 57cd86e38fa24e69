"""How the time of a quote grows: the exponent fitted to sizes up to the largest that is accepted.

Run by name (`python .ci/tasks.py benchmarks`), on a machine that does nothing else. Sizes stand
for stations of a wall, without layers and with, points of a survey, and alternatives of a
comparison.
"""

from __future__ import annotations

import itertools
import json
import math
import time
from collections.abc import Callable
from typing import Any

import pytest

from service import json_text
from service.catalog import Catalog, load_catalog
from service.operations.quoting.comparison import compare_document
from service.operations.quoting.quote import quote_document
from tests.benchmarks.test_quote import dug, request
from tests.given.costly_requests import LABOR, sloped_wall
from tests.given.quote_requests import shipped_request

ROUNDS = 3
STATIONS = (10, 100, 1000)
POINTS = (100, 1000, 10_000)
LAYERED = (4, 40, 400)
ALTERNATIVES = (2, 4, 10)


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    """The shipped catalog."""
    return load_catalog(())


def seconds(work: Callable[[], object]) -> float:
    """CPU seconds of the best of some runs."""
    spent = []
    for _ in range(ROUNDS):
        started = time.process_time()
        work()
        spent.append(time.process_time() - started)
    return min(spent)


def exponent(sizes: tuple[int, ...], spent: list[float]) -> float:
    """Slope of the straight line through the logarithms of sizes and seconds."""
    x, y = [math.log(size) for size in sizes], [math.log(second) for second in spent]
    middle_x, middle_y = math.fsum(x) / len(x), math.fsum(y) / len(y)
    over = math.fsum((a - middle_x) * (b - middle_y) for a, b in zip(x, y, strict=True))
    return over / math.fsum((a - middle_x) ** 2 for a in x)


def told(name: str, sizes: tuple[int, ...], spent: list[float]) -> float:
    """The exponent, printed with what it was fitted to."""
    found = exponent(sizes, spent)
    pairs = ", ".join(f"{n}: {s * 1e3:.1f} ms" for n, s in zip(sizes, spent, strict=True))
    last = exponent(sizes[-2:], spent[-2:])
    print(f"{name}: {pairs}: exponent {found:.3f}, of the last two {last:.3f}")  # noqa: T201
    return found


@pytest.mark.parametrize("count", [1, 3])
def test_exponent_is_that_of_a_power(count: int) -> None:
    """Seconds that are a power of the size have its exponent."""
    sizes = (10, 100, 1000)
    found = exponent(sizes, [0.5 * size**count for size in sizes])
    assert found == pytest.approx(count)


def test_time_grows_with_stations(catalog: Catalog) -> None:
    """A wall of ten times the stations takes at most ten times as long."""
    bodies = [request(count) for count in STATIONS]
    spent = [
        seconds(lambda body=body: quote_document(json_text.loads(body), catalog))  # type: ignore[misc]
        for body in bodies
    ]
    assert told("stations", STATIONS, spent) <= 1.05


def test_time_grows_with_points(catalog: Catalog) -> None:
    """A survey of ten times the points takes at most ten times as long, a tenth of it for order."""
    bodies = [dug(4, count) for count in POINTS]
    spent = [
        seconds(lambda body=body: quote_document(json_text.loads(body), catalog))  # type: ignore[misc]
        for body in bodies
    ]
    assert told("points", POINTS, spent) <= 1.05


def layered(stations: int) -> bytes:
    """A wall of so many stations, of which no two sections are alike, all with layers."""
    more: dict[str, Any] = {"soils": {"retained": "silty_sand"}, **LABOR}
    document = shipped_request(
        sloped_wall(stations, 8.0), screening={"reinforcement": "all"}, **more
    )
    return json.dumps(document).encode("utf-8")


def test_time_grows_with_layers(catalog: Catalog) -> None:
    """Ten times the sections with layers take at most ten times as long."""
    bodies = [layered(count) for count in LAYERED]
    spent = [
        seconds(lambda body=body: quote_document(json_text.loads(body), catalog))  # type: ignore[misc]
        for body in bodies
    ]
    assert told("stations with layers", LAYERED, spent) <= 1.05


def compared(count: int, catalog: Catalog) -> bytes:
    """A wall of 50 stations with so many other systems and sections."""
    pairs = itertools.product(("terrace_8in", "terrace_deep_8in", "garden_6in"), catalog.sections)
    others = [{"wall_system": system, "section": section} for system, section in pairs]
    document: dict[str, Any] = {
        "quote": json.loads(request(50)),
        "alternatives": others[1:][:count],
    }
    return json.dumps(document).encode("utf-8")


def test_time_grows_with_alternatives(catalog: Catalog) -> None:
    """A comparison of ten takes at most five times as long as one of two."""
    bodies = [compared(count, catalog) for count in ALTERNATIVES]
    spent = [
        seconds(lambda body=body: compare_document(json_text.loads(body), catalog))  # type: ignore[misc]
        for body in bodies
    ]
    assert told("alternatives", ALTERNATIVES, spent) <= 1.05
