"""What is kept of a quote's pricing is read again, also what an earlier version kept."""

from __future__ import annotations

import base64
import zlib
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given

from service.core.errors import PriceFaultsError
from service.core.job.price_list import PriceList
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_price import reprice_packed
from service.core.reprice.packed_columns import price_columns
from service.core.reprice.packed_header import packed_size
from service.core.reprice.pricing_inputs import PricingInputs, price_inputs
from service.storage.kept_inputs import keep_inputs, read_inputs
from service.storage.kept_pricing import unpack_inputs
from tests.given.machines import digger, equipment
from tests.given.money import labor, prices
from tests.given.random_quotes import price_lists, price_or_none, pricing_inputs

# Kept in form 1, before soil was kept in each way in which it may be paid: 43 ft of
# terrace, its base 1 ft in the bank; 12.87 yd3 of loam hauled off, direct cost 3355.02.
KEPT = base64.b64decode(Path(__file__).with_name("kept_in_form_1.txt").read_bytes())
DIRECT = form.AMOUNTS.index("direct_cost")


def demo(per: str, unit_cost: str = "31.00") -> PriceList:
    """The demo prices that it was quoted with, but what hauling off is paid per."""
    return prices(
        {
            "terrace_8in": ("8.40", "each"),
            "terrace_cap_4in": ("7.20", "each"),
            "base_stone": ("38.00", "ton"),
            "drain_stone": ("52.00", "yd3"),
            "drain_pipe": ("89.00", "pack"),
            "outlet_pipe": ("14.50", "pack"),
            "filter_fabric": ("118.00", "pack"),
            "cap_adhesive": ("9.25", "each"),
            "haul_off": (unit_cost, per),
        }
    )


@pytest.mark.parametrize(
    ("per", "direct"),
    [
        ("yd3", "3355.02"),
        ("m3", "3261.08"),  # 12.87 yd3 = 9.83982 m3, x 31.00 = 305.03 in place of 398.97
    ],
)
def test_read_inputs_reads_what_an_earlier_version_kept(per: str, direct: str) -> None:
    """It is priced as it was ordered, by both calculations: hauling off by volume alone."""
    price = price_inputs(unpack_inputs(KEPT), demo(per))
    assert price.direct_cost == Decimal(direct)
    bulk = reprice_packed([KEPT[: packed_size(KEPT)]], price_columns(demo(per)))
    assert not bulk.ordinary[0]
    assert bulk.amounts[0, DIRECT] == int(Decimal(direct) * 100)


def test_read_inputs_never_guesses_what_was_not_kept() -> None:
    """Nobody kept how many loads it was: at a price by the load the quote is refused."""
    bulk = reprice_packed([KEPT[: packed_size(KEPT)]], price_columns(demo("load")))
    assert bulk.ordinary[0]
    with pytest.raises(PriceFaultsError) as caught:
        price_inputs(unpack_inputs(KEPT), demo("load"))
    assert [fault.code for fault in caught.value.faults] == ["price-unit-mismatch"]


def test_read_inputs_reads_an_own_machine_that_was_kept_without_a_day() -> None:
    """What was kept as `own` and an item is that item still; now the day stands behind it."""
    time = equipment("4", 1, digger())
    inputs = replace(unpack_inputs(KEPT), labor=replace(labor(), equipment=(time,)))
    text = zlib.decompress(keep_inputs(inputs)).decode()
    assert '"cost":["own","digger_hour",null]' in text
    before = text.replace('"cost":["own","digger_hour",null]', '"cost":["own","digger_hour"]')
    found = read_inputs(zlib.compress(before.encode()))
    assert found.labor is not None
    assert found.labor.equipment[0].machine.cost == time.machine.cost


@given(pricing_inputs(2), price_lists(2, 1, spoiled=False, freight=True, stock=True))
def test_read_inputs_gives_what_was_kept(inputs: PricingInputs, prices: PriceList) -> None:
    """Inputs that were kept and read again are priced the same, in every word."""
    assert price_or_none(read_inputs(keep_inputs(inputs)), prices) == price_or_none(inputs, prices)
