"""Bulk re-pricing is the ordinary pricing, to the minor unit, for any quote and any prices."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from service.core.job.price_list import PriceList
from service.core.job.section import GROUPS
from service.core.job.terms import KINDS
from service.core.measure import UNITS
from service.core.price.price import Price
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_price import BulkPrices, reprice_packed
from service.core.reprice.packed import pack_inputs
from service.core.reprice.packed_columns import price_columns
from service.core.reprice.pricing_inputs import PricingInputs
from tests.given.random_quotes import price_lists, price_or_none, pricing_inputs


def in_minor(amount: Decimal, places: int) -> int:
    """An amount in minor units; it has no more places than that."""
    scaled = Fraction(amount) * 10**places
    assert scaled.denominator == 1
    return int(scaled)


def assert_equal(bulk: BulkPrices, at: int, price: Price, places: int) -> None:
    """Every amount of one quote is that of the ordinary price."""
    expected = [in_minor(getattr(price, name), places) for name in form.AMOUNTS]
    assert bulk.amounts[at].tolist() == expected
    margin = form.NO_MARGIN if price.margin is None else int(price.margin * 10_000)
    assert bulk.margin[at] == margin
    by_group = dict.fromkeys(form.GROUP_CODES, 0)
    for line in price.lines:
        by_group[line.group] += in_minor(line.cost, places)
    assert bulk.cost_by_group[at].tolist() == list(by_group.values())
    assert bulk.kept_overrides[at] == sum(line.override for line in price.lines)


@st.composite
def seasons(draw: st.DrawFn) -> tuple[list[PricingInputs], PriceList, PriceList]:
    """Some quotes, the revision they are priced on, and one that comes after."""
    places = draw(st.sampled_from([0, 2, 2, 3]))
    first = draw(price_lists(places, 1, spoiled=False))
    second = draw(price_lists(places, 2, spoiled=draw(st.booleans()), freight=True, stock=True))
    return draw(st.lists(pricing_inputs(places), min_size=1, max_size=4)), first, second


@given(seasons())
def test_reprice_packed_is_the_ordinary_price(
    season: tuple[list[PricingInputs], PriceList, PriceList],
) -> None:
    """Any quotes on a new revision: the bulk amounts are the ordinary ones, and what the ordinary
    price refuses goes the ordinary way; on the same revision nothing changes, and back on the old
    one every amount is restored."""
    every, first, second = season
    priced = [(inputs, price) for inputs in every if (price := price_or_none(inputs, first))]
    if not priced:
        return
    places = first.minor_places
    packed = [pack_inputs(inputs, price) for inputs, price in priced]
    same = reprice_packed(packed, price_columns(first))
    assert (same.amounts == same.old_amounts)[~same.ordinary].all()
    assert (same.margin == same.old_margin)[~same.ordinary].all()
    assert (same.cost_by_group == same.old_cost_by_group)[~same.ordinary].all()
    bulk = reprice_packed(packed, price_columns(second))
    for at, (inputs, old) in enumerate(priced):
        new = price_or_none(inputs, second)
        if new is None:
            assert bulk.ordinary[at]
            continue
        back = reprice_packed([pack_inputs(inputs, new)], price_columns(first))
        if bulk.ordinary[at]:
            continue
        assert_equal(same, at, old, places)
        assert_equal(bulk, at, new, places)
        assert_equal(back, 0, old, places)


@given(st.data())
def test_reprice_packed_goes_the_ordinary_way_only_where_it_must(data: st.DataObject) -> None:
    """A quote whose machines share no item goes the fast way, whenever it has a price at all."""
    inputs = data.draw(pricing_inputs(2))
    prices = data.draw(price_lists(2, 1, spoiled=False))
    price = price_or_none(inputs, prices)
    if price is None or (inputs.labor and len(inputs.labor.equipment) > 1):
        return
    fuels = [time.machine.fuel_item for time in (inputs.labor.equipment if inputs.labor else ())]
    bulk = reprice_packed([pack_inputs(inputs, price)], price_columns(prices))
    assert not bulk.ordinary[0] or "digger_hour" in fuels


def test_codes_cover_units_groups_and_kinds() -> None:
    """Every unit, pack word, group and kind of cost has a code, and groups keep their order."""
    words = ("pack", "pallet", "bag", "roll", "length")
    assert (*UNITS, *words) == form.UNIT_CODES
    assert form.GROUP_CODES == GROUPS
    assert form.KIND_CODES == KINDS
