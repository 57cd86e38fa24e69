"""The whole calculation in its two forms: with what it costs, and for who sees no money."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.errors import QuoteFaultsError
from service.core.job.job import Job
from service.core.job.price_list import PriceList
from service.core.job.terms import Engineering
from service.core.quote import planned, quote
from service.operations.quoting.quote import to_core
from service.operations.quoting.quote_request import read_request
from tests.given.catalogs import shipped_catalog
from tests.given.lawn_walls import lawn_request


def clay_before_a_lawn() -> tuple[Job, PriceList]:
    """4 ft of clay: base sliding and overturning have ratios below 1. Fill is brought in."""
    catalog = shipped_catalog()
    return to_core(read_request(lawn_request("clay", "4 ft"), catalog, None), catalog)


def test_planned_orders_as_the_prices_ask_for_it() -> None:
    """Fill sold by the ton is ordered in tons, as in a quote; without prices in cubic yards."""
    job, prices = clay_before_a_lawn()
    tons = replace(prices.items["import_fill"], per="ton")
    prices = replace(prices, items={**prices.items, "import_fill": tons})
    units = [
        {line.item: line.order_unit for line in built.quantities.lines}["import_fill"]
        for built in (quote(job, prices), planned(job, prices), planned(job, None))
    ]
    assert units == ["ton", "ton", "yd3"]


def test_planned_refuses_engineering_that_cannot_be_left_out() -> None:
    """A wall whose ratios are below 1 needs an engineer, whoever asks and with prices or not."""
    job, prices = clay_before_a_lawn()
    job = replace(job, engineering=Engineering(settled="not_needed", because="waived on 4 May"))
    for given in (prices, None):
        with pytest.raises(QuoteFaultsError) as caught:
            planned(job, given)
        assert {fault.code for fault in caught.value.faults} == {"engineering-needed"}
