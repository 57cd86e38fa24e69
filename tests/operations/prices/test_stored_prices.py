"""Revisions of price lists are kept in memory, and no more of them than is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.job.price_list import PriceList
from service.operations.prices import stored_prices
from service.operations.prices.stored_prices import StoredPrices
from tests.given.catalogs import shipped_catalog

DEMO = shipped_catalog().price_lists["demo_2026"].core


class Reads(StoredPrices):
    """Price lists of which every revision is there; `read` are those that were read."""

    def __init__(self) -> None:
        super().__init__(lambda: None)
        self.read: list[tuple[str, int]] = []

    def _read(self, list_id: str, number: int) -> PriceList:
        self.read.append((list_id, number))
        return replace(DEMO, id=list_id, revision=number)

    def reads(self, list_id: str, number: int) -> bool:
        """Whether a revision is read to be found."""
        before = len(self.read)
        found = self.find(list_id, number)
        assert found is not None
        assert (found.id, found.revision) == (list_id, number)
        return len(self.read) > before


def test_a_revision_is_read_once() -> None:
    """What was read is found again without the database."""
    prices = Reads()
    assert prices.reads("own", 1)
    assert not prices.reads("own", 1)
    assert prices.reads("own", 2)


def test_four_revisions_of_a_list_are_kept() -> None:
    """The fifth puts out the one that was not asked for longest; other lists keep theirs."""
    prices = Reads()
    for each in (("other", 1), ("own", 1), ("own", 2), ("own", 3), ("own", 4)):
        assert prices.reads(*each)
    assert not prices.reads("own", 1)
    assert prices.reads("own", 5)
    assert prices.reads("own", 2)
    assert not prices.reads("own", 1)
    assert not prices.reads("other", 1)


def test_items_of_all_lists_are_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """With one item too many the list goes that was not asked for longest; a list that is larger
    than all that is kept is kept alone."""
    monkeypatch.setattr(stored_prices, "MOST_KEPT_ITEMS", 2 * len(DEMO.items))
    prices = Reads()
    assert prices.reads("a", 1)
    assert prices.reads("b", 1)
    assert not prices.reads("a", 1)
    assert prices.reads("c", 1)
    assert not prices.reads("a", 1)
    assert prices.reads("b", 1)
    monkeypatch.setattr(stored_prices, "MOST_KEPT_ITEMS", len(DEMO.items) - 1)
    assert prices.reads("d", 1)
    assert not prices.reads("d", 1)
    assert prices.reads("b", 1)
