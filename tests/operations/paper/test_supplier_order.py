"""Orders by supplier: what comes, by when, in how many loads."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

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


def test_loads_are_those_of_the_price_whatever_a_supplier_is_called() -> None:
    """A name with signs has its loads too: they are counted where they are priced."""
    subject = subject_of("garden_wall")
    plain = {part.supplier: part.loads for part in supplier_parts(subject, {})}
    assert plain["Demo block yard"] == 1
    assert plain[""] is None
    renamed = "Block & Stone, Sons: No. 2"
    quoted = quote(subject.quote.job, _renamed(subject.quote.prices, renamed))
    lines = from_core(quoted, subject.request, shipped().version, (), None)
    parts = supplier_parts(replace(subject, quote=quoted, answer=lines), {})
    assert {part.supplier: part.loads for part in parts}[renamed] == 1
