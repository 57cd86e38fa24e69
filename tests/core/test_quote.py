"""The whole calculation in its two forms: with what it costs, and for who sees no money."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.job import Job, Reinforcing
from service.core.job.price_list import PriceList
from service.core.job.terms import Engineering
from service.core.quote import PriceEffect, planned, quote
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.catalogs import shipped_catalog
from tests.given.lawn_walls import lawn_request


def before_a_lawn(soil: str, exposed: str) -> tuple[Job, PriceList]:
    """A wall that fails as a plain stack; fill is brought in."""
    catalog = shipped_catalog()
    return to_core(read_request(lawn_request(soil, exposed), catalog, None), catalog)


@pytest.mark.parametrize("reinforcing", ["compare", "where_needed"])
def test_quote_tells_the_totals_without_and_with_layers(reinforcing: Reinforcing) -> None:
    """Both totals are those of the quotes without and with layers, whichever of them is the one
    that is asked for; without any, there is no effect to tell."""
    job, prices = before_a_lawn("loam", "3 ft")
    ways: tuple[Reinforcing, ...] = ("none", "where_needed")
    totals = [quote(replace(job, reinforcing=way), prices).price.total for way in ways]
    asked = quote(replace(job, reinforcing=reinforcing), prices)
    assert asked.price.total == totals[reinforcing == "where_needed"]
    assert asked.price_effect == PriceEffect(gravity_total=totals[0], reinforced_total=totals[1])
    assert totals[0] < totals[1]
    assert quote(job, prices).price_effect is None


def test_planned_orders_as_the_prices_ask_for_it() -> None:
    """Fill sold by the ton is ordered in tons, as in a quote; without prices in cubic yards."""
    job, prices = before_a_lawn("clay", "4 ft")
    tons = replace(prices.items["import_fill"], per="ton")
    prices = replace(prices, items={**prices.items, "import_fill": tons})
    units = [
        {line.item: line.order_unit for line in built.quantities.lines}["import_fill"]
        for built in (quote(job, prices), planned(job, prices), planned(job, None))
    ]
    assert units == ["ton", "ton", "yd3"]


def test_quote_and_planned_refuse_engineering_that_cannot_be_left_out() -> None:
    """4 ft of clay slides and turns over by ratios below 1: the wall needs an engineer, whoever
    asks and with prices or not."""
    job, prices = before_a_lawn("clay", "4 ft")
    job = replace(job, engineering=Engineering(settled="not_needed", because="waived on 4 May"))
    for asked in (
        partial(quote, job, prices),
        partial(planned, job, prices),
        partial(planned, job, None),
    ):
        with pytest.raises(QuoteFaultsError) as caught:
            asked()
        assert {fault.code for fault in caught.value.faults} == {"engineering-needed"}
