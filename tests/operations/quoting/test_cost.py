"""What a request costs before it runs: never cheaper for more, and what it costs indeed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.api.calculating import SMALL_MS
from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.core.ground import known_ground
from service.core.ground.grading import GradedArea, measure_grading
from service.core.job.graded import Grading
from service.core.job.topsoil import Topsoil
from service.core.measure import UnitSet
from service.core.would_pass.would_pass import would_pass
from service.operations.quoting.comparison import compare_document, prepare_comparison
from service.operations.quoting.cost import (
    MOST_MS,
    QuoteSize,
    WallSize,
    calculation_cost,
    comparison_cost,
    search_cost,
)
from service.operations.quoting.quote import prepare_document
from service.operations.quoting.would_pass_answer import offered_by
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

WALLS = st.builds(
    WallSize,
    parts=st.integers(1, 200),
    courses=st.integers(1, 150),
    highest=st.integers(1, 150),
    steps=st.integers(1, 1500),
    sections=st.integers(1, 1500),
    drawn=st.integers(0, 1700),
    pairs=st.integers(0, 10_000),
    others=st.integers(0, 49),
    drawn_beside=st.integers(0, 10_000),
    above=st.integers(0, 2000),
    lines=st.integers(0, 200),
)
SIZES = st.builds(
    QuoteSize,
    walls=st.lists(WALLS, min_size=1, max_size=4).map(tuple),
    points=st.integers(0, 10_000),
    levels=st.integers(0, 10_000),
    screened=st.booleans(),
    layered=st.booleans(),
    dug=st.booleans(),
    cut=st.booleans(),
    priced=st.booleans(),
)
MORE: dict[str, Callable[[QuoteSize], QuoteSize]] = {
    "a wall": lambda size: replace(size, walls=(*size.walls, size.walls[0])),
    "points": lambda size: replace(size, points=size.points + 1),
    "levels": lambda size: replace(size, levels=size.levels + 1),
    "screening": lambda size: replace(size, screened=True),
    "layers": lambda size: replace(size, layered=True),
    "digging": lambda size: replace(size, dug=True),
    "another fill": lambda size: replace(size, cut=True),
}


def grown(size: QuoteSize, **more: int) -> QuoteSize:
    """The first wall with more of something."""
    first, *rest = size.walls
    taller = replace(first, **{name: getattr(first, name) + by for name, by in more.items()})
    return replace(size, walls=(taller, *rest))


@pytest.mark.parametrize("what", [*MORE, *(each.name for each in fields(WallSize))])
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


@given(size=SIZES, others=st.integers(0, 10), heights=st.booleans())
def test_comparison_cost_counts_graded_ground_once(
    size: QuoteSize, others: int, heights: bool
) -> None:
    """Surveyed ground is the same whatever is built: it costs a comparison as much as a quote.

    Nothing stands above: of 10^10 ms that such walls would come to no sum holds a millionth."""
    size = replace(size, walls=tuple(replace(wall, above=0) for wall in size.walls))
    flat = replace(size, points=0, levels=0)
    surveyed = comparison_cost(size, [size] * others, heights=heights)
    bare = comparison_cost(flat, [flat] * others, heights=heights)
    graded = calculation_cost(size) - calculation_cost(flat)
    assert surveyed - bare == pytest.approx(graded, abs=1e-6)


def test_compare_measures_graded_ground_once(
    catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With layers and without, alternatives, heights that fit and walls that would pass stand on
    the ground that was measured for the first."""
    measured: list[str] = []

    def counted(grading: Grading, units: UnitSet, topsoil: Topsoil) -> GradedArea:
        measured.append(grading.name)
        return measure_grading(grading, units, topsoil)

    monkeypatch.setattr(known_ground, "measure_grading", counted)
    yards = [{**surveyed_yard(100), "name": name} for name in ("north", "south")]
    body = quote(zigzag_wall(3, 8, dug=True), grading=yards, what_if=True)
    compare_document(
        {"quote": body, "alternatives": [{"section": "deep_pad"}], "heights_that_fit": True},
        catalog,
    )
    assert measured == ["north", "south"]
    assert would_pass(prepare_document(body, catalog).quote(), offered_by(catalog), priced=True)
    assert measured == ["north", "south"] * 2


def test_prepare_comparison_counts_each_alternative(catalog: Catalog) -> None:
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
    assert "over the bound of 4 s" in fault.message


def test_prepare_quote_refuses_more_than_a_request_may_take(catalog: Catalog) -> None:
    """Walls of many steps and layers beyond the bound are refused before they are calculated."""
    sloped = sloped_wall(900, 60)
    with pytest.raises(QuoteFaultsError) as error:
        prepare_document(quote(sloped, **ALL), catalog)
    (fault,) = error.value.faults
    assert (fault.code, fault.at) == ("quote-too-large", ("walls",))


def terraced(walls: int, parts: int) -> Json:
    """A quote of walls above each other."""
    return {**shipped_request(), **dug_terraces(walls, parts)}


def test_prepare_quote_counts_walls_that_are_dug_together(catalog: Catalog) -> None:
    """16 kB with four walls of 50 curves each above the other are seconds of digging: refused.
    With fewer parts, or fewer walls, it is no small request either."""
    with pytest.raises(QuoteFaultsError) as error:
        prepare_document(terraced(4, 50), catalog)
    assert [fault.code for fault in error.value.faults] == ["quote-too-large"]
    few, parted = terraced(2, 1), terraced(2, 40)
    apart = {key: value for key, value in few.items() if key != "tiers"}
    costs = [prepare_document(each, catalog).cost_ms for each in (apart, few, parted)]
    assert costs[0] < SMALL_MS < costs[1] < costs[2]


def test_prepare_quote_counts_parts_that_are_dug(catalog: Catalog) -> None:
    """Each part of a plan is sections to draw, where ground is dug: 200 of them are not small."""
    dug, built = (quote(zigzag_wall(2, dug=dug, parts=200)) for dug in (True, False))
    assert prepare_document(dug, catalog).cost_ms > SMALL_MS
    assert prepare_document(built, catalog).cost_ms < SMALL_MS


def test_prepare_quote_counts_ground_measured_across_a_wall(catalog: Catalog) -> None:
    """So is each pair of a surveyed section; thousands of them are refused."""
    assert prepare_document(quote(sectioned_wall(10, 10)), catalog).cost_ms > SMALL_MS
    with pytest.raises(QuoteFaultsError) as error:
        prepare_document(quote(sectioned_wall(50, 100)), catalog)
    assert [fault.code for fault in error.value.faults] == ["quote-too-large"]


def test_prepare_quote_counts_walls_that_stand_above(catalog: Catalog) -> None:
    """A wall is screened by wedges through all that stands above it: three walls of 6 ft are
    seconds of search for what would pass, five are not searched, three of 30 ft are refused."""
    few, more = ({**shipped_request(), **stepped_walls(number, 6)} for number in (3, 5))
    apart = {key: value for key, value in few.items() if key != "tiers"}
    assert prepare_document(apart, catalog).cost_ms < 300
    searched, unsearched = (prepare_document(each, catalog) for each in (few, more))
    assert searched.searched
    assert searched.cost_ms > 2000
    assert not unsearched.searched
    with pytest.raises(QuoteFaultsError) as error:
        prepare_document({**shipped_request(), **stepped_walls(3, 30)}, catalog)
    assert [fault.code for fault in error.value.faults] == ["quote-too-large"]


def test_prepare_quote_counts_loads_behind_and_another_fill(catalog: Catalog) -> None:
    """A path that begins behind a wall, and fill of another soil, are wedges to be tried: more
    than four times what the wall takes without, each more than without the other."""
    walls = (
        sloped_wall(12, 8),
        {**sloped_wall(12, 8), "above": [{"what": "path", "from": "4 ft"}]},
    )
    plain, loaded, cut, both = (
        prepare_document(shipped_request(wall, soils=soils), catalog).cost_ms
        for soils in ({"retained": "loam"}, {"retained": "loam", "fill": "sand_gravel"})
        for wall in walls
    )
    assert 2 * plain < loaded < both
    assert plain < cut < both
    assert both > 4 * plain


def test_prepare_quote_counts_what_lies_beside_even_ground_alone(catalog: Catalog) -> None:
    """A load that is nowhere, and a fill that is the soil behind, are none."""
    wall = {**sloped_wall(12, 8), "surcharge": "100 psf"}
    soils = ({"retained": "loam"}, {"retained": "loam", "fill": "loam"})
    one, other = (prepare_document(shipped_request(wall, soils=each), catalog) for each in soils)
    assert one.cost_ms == other.cost_ms


def test_prepare_quote_leaves_out_a_search_that_would_take_too_long(catalog: Catalog) -> None:
    """A quote within the bound is answered, though the search for what would pass is not."""
    light, heavy = quote(sloped_wall(20, 12)), quote(sloped_wall(70, 60))
    assert prepare_document(light, catalog).searched
    prepared = prepare_document(heavy, catalog)
    assert not prepared.searched
    assert prepared.cost_ms < MOST_MS
