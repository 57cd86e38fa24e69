"""Refusing costs little, whatever is wrong and however often."""

from __future__ import annotations

import difflib
import time
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any

import pytest

from service.catalog import Catalog
from service.core.errors import Fault, PriceFaultsError, QuoteFaultsError
from service.core.job.price_list import ItemPrice
from service.core.price.price_changes import Removal, change_prices
from service.operations.prices.price_list_request import read_publication
from service.operations.quoting.quote import quote_document
from tests.given.quote_requests import shipped_request

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

Document = Mapping[str, Any]
NULLS = dict.fromkeys(f"k{number}" for number in range(9))


def refused(read: Callable[[], object]) -> tuple[tuple[Fault, ...], float]:
    """The faults of a document, and what it took to find them, in ms of CPU."""
    started = time.process_time()
    with pytest.raises(QuoteFaultsError) as caught:
        read()
    return caught.value.faults, (time.process_time() - started) * 1000


@pytest.fixture
def compared(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many known words each unknown one was held against."""
    seen: list[int] = []
    compare = difflib.get_close_matches

    def counted(word: str, known: Sequence[str], *more: Any) -> list[str]:  # noqa: ANN401
        seen.append(len(known))
        return compare(word, known, *more)

    monkeypatch.setattr(difflib, "get_close_matches", counted)
    return seen


MOST_COMPARED = 5_000  # some 50 ms


def test_unknown_overrides_are_compared_for_a_while(catalog: Catalog, compared: list[int]) -> None:
    """Of 1,990 unknown items each is told; the first ones get the nearest as a hint."""
    unknown = {f"it{number}": {"unit_cost": "1.00", "per": "each"} for number in range(1990)}
    prices = {"price_list": "demo_2026", "overrides": unknown}
    faults, _ = refused(lambda: quote_document(shipped_request(prices=prices), catalog))
    assert {fault.code for fault in faults} == {"unknown-override"}
    assert len(faults) == 1990
    assert all(fault.hint for fault in faults[:10])
    assert sum(compared) <= MOST_COMPARED


def test_unknown_tasks_are_compared_for_a_while(catalog: Catalog, compared: list[int]) -> None:
    """Likewise hours for tasks that the rates don't have."""
    base = next(iter(catalog.production_rates))
    hours = {f"task_{number}": {"hours": "1", "note": "tried"} for number in range(440)}
    rates = {"base": base, "overrides": hours}
    faults, _ = refused(lambda: quote_document(shipped_request(rates=rates), catalog))
    assert {fault.code for fault in faults} == {"task-unknown"}
    assert faults[0].hint
    assert sum(compared) <= MOST_COMPARED


def test_unknown_items_are_compared_for_a_while(compared: list[int]) -> None:
    """Twenty changes that each remove 2,000 unknown items of a list of 2,000."""
    one = ItemPrice(unit_cost=Decimal(1), per="each")
    prices = {f"item_{number}": one for number in range(2000)}
    removal = Removal(items=tuple(f"itm_{number}" for number in range(2000)))
    with pytest.raises(PriceFaultsError) as caught:
        change_prices(prices, [removal] * 20, 2)
    assert len(caught.value.faults) == 40_000
    assert caught.value.faults[0].hint == "did you mean item_0?"
    assert sum(compared) <= MOST_COMPARED


def test_nulls_are_told_in_order_and_counted(catalog: Catalog) -> None:
    """Nulls count up to the number at which reading stops; those told first are the first ones."""
    walls = [NULLS] * 300
    faults, _ = refused(lambda: quote_document(shipped_request(walls=walls), catalog))
    nulls = [fault for fault in faults if fault.code == "null-not-read"]
    assert len(nulls) == 1000
    assert [fault.at for fault in nulls[:2]] == [("walls", 0, "k0"), ("walls", 0, "k1")]


def test_nulls_cost_their_number(catalog: Catalog) -> None:
    """Four times the nulls take four times as long, not sixteen times."""
    items = {f"item_{number}": None for number in range(20_000)}
    few = dict(list(items.items())[:5_000])

    def cost(given: Mapping[str, None]) -> float:
        whole = {"currency": "USD", "effective_from": "2026-05-04", "items": given}
        return min(refused(lambda: read_publication(whole, catalog))[1] for _ in range(3))

    assert cost(items) <= 8 * cost(few)
