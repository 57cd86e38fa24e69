"""What a request costs before it runs: never cheaper for more, and what it costs indeed."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.quoting.comparison import compare_document, prepare_comparison
from service.operations.quoting.cost import (
    MOST_MS,
    QuoteSize,
    WallSize,
    calculation_cost,
    comparison_cost,
    search_cost,
)
from service.operations.quoting.quote import prepare_document, quote_document
from service.operations.quoting.quote_answer import encode_answer
from tests.given.costly_requests import LABOR, sloped_wall, surveyed_yard, zigzag_wall
from tests.given.quote_requests import Json, shipped_request

WALLS = st.builds(
    WallSize,
    parts=st.integers(1, 200),
    courses=st.integers(1, 150),
    highest=st.integers(1, 150),
    steps=st.integers(1, 1500),
    sections=st.integers(1, 1500),
)
SIZES = st.builds(
    QuoteSize,
    walls=st.lists(WALLS, min_size=1, max_size=4).map(tuple),
    points=st.integers(0, 10_000),
    levels=st.integers(0, 10_000),
    screened=st.booleans(),
    layered=st.booleans(),
    dug=st.booleans(),
    priced=st.booleans(),
)
MORE: dict[str, Callable[[QuoteSize], QuoteSize]] = {
    "a wall": lambda size: replace(size, walls=(*size.walls, size.walls[0])),
    "points": lambda size: replace(size, points=size.points + 1),
    "levels": lambda size: replace(size, levels=size.levels + 1),
    "screening": lambda size: replace(size, screened=True),
    "layers": lambda size: replace(size, layered=True),
    "digging": lambda size: replace(size, dug=True),
}
# What is within one factor of what it costs: a machine that is half as fast is so for all of them.
FACTOR = 3.0


def grown(size: QuoteSize, **more: int) -> QuoteSize:
    """The first wall with more of something."""
    first, *rest = size.walls
    taller = replace(first, **{name: getattr(first, name) + by for name, by in more.items()})
    return replace(size, walls=(taller, *rest))


@pytest.mark.parametrize("what", [*MORE, "parts", "courses", "highest", "steps", "sections"])
@given(size=SIZES)
def test_calculation_cost_is_never_less_for_more(what: str, size: QuoteSize) -> None:
    """A quote with more of anything costs as much at least, and so does a comparison of it."""
    more = MORE[what](size) if what in MORE else grown(size, **{what: 1})
    assert calculation_cost(more) >= calculation_cost(size)
    for heights in (False, True):
        before = comparison_cost(size, [size], heights=heights)
        assert comparison_cost(more, [more], heights=heights) >= before
        assert comparison_cost(size, [size, more], heights=heights) > before


@given(size=SIZES)
def test_search_cost_is_never_less_for_more_below_its_bound(size: QuoteSize) -> None:
    """The search for what would pass costs more where more is dug, reinforced or priced."""
    for what in ("points", "levels", "screening", "layers", "digging"):
        assert search_cost(MORE[what](size)) >= search_cost(size)
    assert search_cost(replace(size, priced=True)) >= search_cost(replace(size, priced=False))


def quote(*walls: Json, **more: object) -> Json:
    """A quote with labor over silty sand."""
    return shipped_request(*walls, soils={"retained": "silty_sand"}, **LABOR, **more)


ALL: Json = {"screening": {"reinforcement": "all"}}
MEASURED: dict[str, Json] = {
    "small": quote(zigzag_wall(3)),
    "40 stations": quote(zigzag_wall(40)),
    "not screened": shipped_request(zigzag_wall(200), **LABOR),
    "tall": quote(zigzag_wall(20, 16)),
    "sloped": quote(sloped_wall(40, 16)),
    "sloped, tall": quote(sloped_wall(30, 36)),
    "sloped, layers": quote(sloped_wall(400, 8), **ALL),
    "dug": quote(zigzag_wall(30, 6, dug=True)),
    "too large to search": quote(zigzag_wall(200, 8)),
    "layers": quote(zigzag_wall(120, 8), **ALL),
    "layers, dug": quote(zigzag_wall(120, 8, dug=True), **ALL),
    "parts": shipped_request(zigzag_wall(20, 8, parts=200)),
    "surveyed": quote(zigzag_wall(3), grading=[surveyed_yard(4000)]),
    "what_if": quote(zigzag_wall(8, 6, dug=True), screening={"what_if": True}),
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
    "heights": {"quote": quote(zigzag_wall(30)), "heights_that_fit": True},
}


def spent_ms(run: Callable[[], Any]) -> float:
    """CPU of this process, with nothing kept of the same walls before."""
    began = time.process_time()
    encode_answer(run())
    return (time.process_time() - began) * 1000


@pytest.mark.no_cover  # tracing costs some steps more than others
def test_cost_is_what_a_request_takes(catalog: Catalog) -> None:
    """What is said before lies within a factor of what is spent, over requests of all sorts."""
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
    assert all(1 / FACTOR <= share <= FACTOR for share in off.values()), off


def test_prepare_comparison_counts_what_each_alternative_surveys_again(catalog: Catalog) -> None:
    """Ten alternatives over three surveys are eleven quotes; too many are refused, with figures."""
    surveys = [{**surveyed_yard(2400), "name": name} for name in ("north", "south", "east")]
    body = {
        "quote": quote(*[zigzag_wall(120, 8, dug=True)], grading=surveys, **ALL),
        "alternatives": [{"section": "deep_pad"}] * 10,
    }
    with pytest.raises(QuoteFaultsError) as error:
        prepare_comparison(body, catalog)
    (fault,) = error.value.faults
    assert (fault.code, fault.at) == ("comparison-too-large", ("quote", "walls"))
    assert "over the bound of 5 s" in fault.message


def test_prepare_quote_refuses_more_than_a_request_may_take(catalog: Catalog) -> None:
    """Walls of many steps and layers beyond the bound are refused before they are calculated."""
    sloped = sloped_wall(900, 60)
    with pytest.raises(QuoteFaultsError) as error:
        prepare_document(quote(sloped, **ALL), catalog)
    (fault,) = error.value.faults
    assert (fault.code, fault.at) == ("quote-too-large", ("walls",))


def test_prepare_quote_leaves_out_a_search_that_would_take_too_long(catalog: Catalog) -> None:
    """A quote within the bound is answered, though the search for what would pass is not."""
    light, heavy = quote(sloped_wall(20, 12)), quote(sloped_wall(70, 60))
    assert prepare_document(light, catalog).searched
    prepared = prepare_document(heavy, catalog)
    assert not prepared.searched
    assert prepared.cost_ms < MOST_MS
