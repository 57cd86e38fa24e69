"""Orders by supplier: what comes, by when, in how many loads."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import pytest

from service.core.job.price_list import PriceList
from service.core.quote import quote
from service.operations.paper.supplier_order import supplier_parts
from service.operations.quoting.quote_answer import from_core
from tests.given.papers import shipped, subject_of


def _renamed(prices: PriceList, new: str) -> PriceList:
    """The same prices of a block yard that is called otherwise."""
    old = "Demo block yard"
    items = {
        item: replace(price, supplier=new) if price.supplier == old else price
        for item, price in prices.items.items()
    }
    delivery = {new if name == old else name: each for name, each in prices.delivery.items()}
    return replace(prices, items=MappingProxyType(items), delivery=MappingProxyType(delivery))


def _numbered(
    prices: PriceList, item: str, *, override: tuple[str | None, str | None] | None
) -> PriceList:
    """The same prices, an item under number L-1 of its supplier, and with a price for this quote
    of another supplier and number where one is given."""
    listed = replace(prices.items[item], supplier_item="L-1")
    items = MappingProxyType({**prices.items, item: listed})
    if override is None:
        return replace(prices, items=items)
    supplier, number = override
    own = replace(listed, supplier=supplier, supplier_item=number)
    return replace(prices, items=items, overrides=MappingProxyType({item: own}))


@pytest.mark.parametrize(
    ("override", "supplier", "number"),
    [
        (None, "Demo block yard", "L-1"),
        ((None, None), "Demo block yard", "L-1"),
        ((None, "O-2"), "Demo block yard", "O-2"),
        (("Demo block yard", None), "Demo block yard", "L-1"),
        (("Another yard", None), "Another yard", ""),
        (("Another yard", "O-2"), "Another yard", "O-2"),
    ],
)
def test_number_is_that_of_the_supplier_who_brings_it(
    override: tuple[str | None, str | None] | None, supplier: str, number: str
) -> None:
    """The order prints the number of whoever brings the item: a price for this quote goes before
    the list, and nobody gets another supplier's number."""
    subject = subject_of("garden_wall")
    item = next(
        entry.line.item
        for part in supplier_parts(subject)
        for entry in part.items
        if part.supplier == "Demo block yard"
    )
    prices = _numbered(subject.quote.prices, item, override=override)
    parts = supplier_parts(replace(subject, quote=replace(subject.quote, prices=prices)))
    found = {entry.line.item: (p.supplier, entry.their_number) for p in parts for entry in p.items}
    assert found[item] == (supplier, number)


def test_loads_are_those_of_the_price_whatever_a_supplier_is_called() -> None:
    """A name with signs has its loads too: they are counted where they are priced."""
    subject = subject_of("garden_wall")
    plain = {part.supplier: part.loads for part in supplier_parts(subject)}
    assert plain["Demo block yard"] == 1
    assert plain[""] is None
    renamed = "Block & Stone, Sons: No. 2"
    quoted = quote(subject.quote.job, _renamed(subject.quote.prices, renamed))
    lines = from_core(quoted, subject.request, shipped().version, (), None)
    parts = supplier_parts(replace(subject, quote=quoted, answer=lines))
    assert {part.supplier: part.loads for part in parts}[renamed] == 1
