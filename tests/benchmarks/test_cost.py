"""What a request costs before it runs, against what it takes of this machine."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

from service.catalog import load_catalog
from service.operations.quoting.comparison import compare_document, prepare_comparison
from service.operations.quoting.quote import prepare_document, quote_document
from service.operations.quoting.quote_answer import encode_answer
from tests.given.costly_requests import (
    LABOR,
    dug_terraces,
    sectioned_wall,
    sloped_wall,
    stepped_walls,
    surveyed_yard,
    zigzag_wall,
)
from tests.given.quote_requests import Json, shipped_request

# What is within one factor of what it costs: a machine that is half as fast is so for all of them.
FACTOR = 3.0


def quote(*walls: Json, **more: object) -> Json:
    """A quote with labor over silty sand."""
    return shipped_request(*walls, soils={"retained": "silty_sand"}, **LABOR, **more)


PATH: list[Json] = [{"what": "path", "from": "4 ft"}]
TWO_SOILS: Json = {"retained": "silty_sand", "fill": "sand_gravel"}
ALL: Json = {"screening": {"reinforcement": "all"}}
MEASURED: dict[str, Json] = {
    "small": quote(zigzag_wall(3)),
    "40 stations": quote(zigzag_wall(40)),
    "not screened": shipped_request(zigzag_wall(200), **LABOR),
    "tall": quote(zigzag_wall(20, 16)),
    "sloped": quote(sloped_wall(40, 16)),
    "sloped, tall": quote(sloped_wall(30, 36)),
    "sloped, layers": quote(sloped_wall(400, 8), **ALL),
    "load behind": quote({**sloped_wall(12, 8), "above": PATH}),
    "another fill": shipped_request(sloped_wall(12, 8), soils=TWO_SOILS, **LABOR),
    "load, another fill": shipped_request(
        {**sloped_wall(12, 8), "above": PATH}, soils=TWO_SOILS, **LABOR
    ),
    "dug": quote(zigzag_wall(30, 6, dug=True)),
    "too large to search": quote(zigzag_wall(200, 8)),
    "dug by parts": quote(zigzag_wall(2, 6, dug=True, parts=200)),
    "sections": quote(sectioned_wall(10, 10)),
    "sections, detailed": quote(sectioned_wall(10, 40)),
    "two terraces": {**shipped_request(), **dug_terraces(2, 1)},
    "terraces": {**shipped_request(), **dug_terraces(3, 20)},
    "two tiers": {**shipped_request(), **stepped_walls(2, 6)},
    "tiers": {**shipped_request(), **stepped_walls(3, 5)},
    "tiers, too many to search": {**shipped_request(), **stepped_walls(5, 6)},
    "tiers, layers": {**shipped_request(), **stepped_walls(2, 6), **ALL},
    "layers": quote(zigzag_wall(120, 8), **ALL),
    "layers, dug": quote(zigzag_wall(120, 8, dug=True), **ALL),
    "parts": shipped_request(zigzag_wall(20, 8, parts=200)),
    "surveyed": quote(zigzag_wall(3), grading=[surveyed_yard(4000)]),
    "what_if": quote(zigzag_wall(8, 6, dug=True), what_if=True),
    "walls": shipped_request(*[zigzag_wall(2)] * 30, **LABOR),
}
COMPARED: dict[str, Json] = {
    "alternatives": {
        "quote": quote(zigzag_wall(20)),
        "alternatives": [{"section": "deep_pad"}] * 5,
    },
    "surveyed alternatives": {
        "quote": quote(zigzag_wall(3), grading=[surveyed_yard(4000)]),
        "alternatives": [{"section": "deep_pad"}] * 3,
    },
    "heights of tiers": {
        "quote": {**shipped_request(), **stepped_walls(3, 5)},
        "heights_that_fit": True,
    },
    "heights": {"quote": quote(zigzag_wall(30)), "heights_that_fit": True},
}


def spent_ms(run: Callable[[], Any]) -> float:
    """CPU of this process, with nothing kept of the same walls before."""
    began = time.process_time()
    encode_answer(run())
    return (time.process_time() - began) * 1000


def test_cost_is_what_a_request_takes() -> None:
    """What is said before lies within a factor of what is spent, over requests of all sorts."""
    catalog = load_catalog(())
    quote_document(shipped_request(), catalog)  # loads what is loaded at first need
    ratios = {
        name: prepare_document(body, catalog).cost_ms
        / spent_ms(lambda body=body: quote_document(body, catalog))  # type: ignore[misc]
        for name, body in MEASURED.items()
    } | {
        name: prepare_comparison(body, catalog).cost_ms
        / spent_ms(lambda body=body: compare_document(body, catalog))  # type: ignore[misc]
        for name, body in COMPARED.items()
    }
    middle = statistics.median(ratios.values())
    off = {n: round(r / middle, 2) for n, r in ratios.items()}
    sys.stdout.write(f"\nestimate / spent, over the median: {off}\n")
    assert all(1 / FACTOR <= share <= FACTOR for share in off.values()), off
