"""One quote before and after: what counts as a change, and the figures that there aren't."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.errors import PriceFaultsError
from service.core.job.terms import Terms
from service.core.reprice.bulk_price import reprice_packed
from service.core.reprice.packed import pack_inputs
from service.core.reprice.packed_columns import price_columns
from service.core.reprice.pricing_inputs import price_inputs
from service.core.reprice.repriced import price_for, reprice_ordinary, repriced_each
from tests.core.reprice.test_packed_limits import LARGEST, inputs_of
from tests.given.money import bought, extra, margin, prices


def test_price_for_leaves_the_margin_over_the_cost() -> None:
    """75 of cost at a margin of 25 % is a price of 100, and 2 of cost one of 2.67, so 3; no price
    leaves all of it, or a margin that isn't known."""
    assert price_for(2_500, 75) == 100
    assert price_for(2_500, 2) == 3
    assert price_for(9_999, 1) == 10_000
    assert price_for(10_000, 1) is None
    assert price_for(None, 75) is None


def test_what_costs_nothing_any_more_is_held_at_nothing() -> None:
    """The price that holds a margin over no cost is 0, by columns and by the ordinary way."""
    inputs = inputs_of(bought("block", "10"), terms=Terms(profit=margin("0.2")))
    packed = pack_inputs(inputs, price_inputs(inputs, prices({"block": ("8.00", "each")})))
    now = prices({"block": ("0", "each")})
    (found,) = repriced_each(reprice_packed([packed], price_columns(now)))
    assert found is not None
    assert (found.old_margin, found.new_margin) == (2_000, None)
    assert (found.price_to_hold_margin, found.total_to_hold_margin) == (0, 0)
    assert found == reprice_ordinary(inputs, packed, now)


def test_costs_that_move_between_groups_are_a_change() -> None:
    """Blocks 1.00 cheaper and pipe 1.00 dearer: the roll-up is the same, its parts aren't."""
    inputs = inputs_of(bought("block"), bought("pipe", "1", "ft", group="pipe"))
    before = prices({"block": ("5.00", "each"), "pipe": ("5.00", "ft")})
    packed = pack_inputs(inputs, price_inputs(inputs, before))
    moved = prices({"block": ("4.00", "each"), "pipe": ("6.00", "ft")})
    found = reprice_ordinary(inputs, packed, moved)
    assert found.old == found.new
    assert found.changed
    assert replace(found, new=(*found.new[:-1], 1), new_by_group=found.old_by_group).changed
    assert not reprice_ordinary(inputs, packed, before).changed


def test_totals_are_told_below_the_bound() -> None:
    """A total of 2^62 cents is refused by name; one cent less is told."""
    small = inputs_of(extras=(extra("1.00"),))
    packed = pack_inputs(small, price_inputs(small, prices({})))
    largest = Decimal(LARGEST).scaleb(-2)
    below = inputs_of(extras=(extra(f"{largest - Decimal('0.01'):f}"),))
    assert reprice_ordinary(below, packed, prices({})).new_total == LARGEST - 1
    with pytest.raises(PriceFaultsError) as caught:
        reprice_ordinary(inputs_of(extras=(extra(f"{largest:f}"),)), packed, prices({}))
    assert [fault.code for fault in caught.value.faults] == ["amount-too-large"]
