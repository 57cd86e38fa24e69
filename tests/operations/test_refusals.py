"""Refusing costs little, whatever is wrong and however often."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError
from service.operations.prices.price_list_request import read_publication
from service.operations.quoting.quote import quote_document
from tests.given.quote_requests import shipped_request

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

Document = Mapping[str, Any]
NULLS = dict.fromkeys((f"k{number}" for number in range(9)))


def refused(read: Callable[[], object]) -> tuple[tuple[Fault, ...], float]:
    """The faults of a document, and what it took to find them, in ms of CPU."""
    started = time.process_time()
    with pytest.raises(QuoteFaultsError) as caught:
        read()
    return caught.value.faults, (time.process_time() - started) * 1000


def test_nulls_are_told_in_order_and_counted(catalog: Catalog) -> None:
    """Every null counts; those told first are the first ones."""
    walls = [NULLS] * 300
    faults, _ = refused(lambda: quote_document(shipped_request(walls=walls), catalog))
    nulls = [fault for fault in faults if fault.code == "null-not-read"]
    assert len(nulls) == 2700
    assert [fault.at for fault in nulls[:2]] == [("walls", 0, "k0"), ("walls", 0, "k1")]


def test_nulls_cost_their_number(catalog: Catalog) -> None:
    """Four times the nulls take four times as long, not sixteen times."""
    items = {f"item_{number}": None for number in range(20_000)}
    few = dict(list(items.items())[:5_000])

    def cost(given: Mapping[str, None]) -> float:
        whole = {"currency": "USD", "effective_from": "2026-05-04", "items": given}
        return min(refused(lambda: read_publication(whole, catalog))[1] for _ in range(3))

    assert cost(items) <= 8 * cost(few)
