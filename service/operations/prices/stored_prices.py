"""Price lists of the database for quotes: looked up by id and revision, and kept in memory.

A revision never changes, so what was read once need not be read again; only which one is the
latest is asked each time. A quote that names a list of the catalog asks nothing here.
"""

from __future__ import annotations

import difflib
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from service.catalog import Catalog
from service.core.job.price_list import PriceList
from service.operations.prices.kept_revision import decode_kept, to_price_list

if TYPE_CHECKING:
    from service.storage import Store

# Items of all kept revisions together; one takes some 500 bytes.
MOST_KEPT_ITEMS: Final = 200_000
# Revisions of one list: the newest, and those of quotes that say which one they want.
KEPT_REVISIONS: Final = 4


class StoredPrices:
    """The stored price lists; threads may share it. `open_store` gives the database, or None
    where there is none yet."""

    def __init__(self, open_store: Callable[[], Store | None]) -> None:
        self._open_store = open_store
        self._kept: OrderedDict[tuple[str, int], PriceList] = OrderedDict()
        self._lock = threading.Lock()

    def latest(self, list_id: str) -> int | None:
        """The number of a list's newest revision; None: there is no such list."""
        store = self._open_store()
        if store is None:
            return None
        from service.storage import price_lists as rows  # noqa: PLC0415

        with store.read() as connection:
            head = rows.find_latest(connection, list_id)
        return None if head is None else head.number

    def find(self, list_id: str, number: int) -> PriceList | None:
        """A revision of a list; None: it has no such revision."""
        with self._lock:
            if (kept := self._kept.get((list_id, number))) is not None:
                self._kept.move_to_end((list_id, number))
                return kept
        prices = self._read(list_id, number)
        if prices is not None:
            self._keep(prices, (list_id, number))
        return prices

    def nearest(self, catalog: Catalog, list_id: str) -> str | None:
        """The id of a list, in the catalog or here, that is most like one that is neither."""
        store = self._open_store()
        known = list(catalog.ids("price_lists"))
        if store is not None:
            from service.storage import price_lists as rows  # noqa: PLC0415

            with store.read() as connection:
                known += rows.list_ids(connection)
        close = difflib.get_close_matches(list_id, known, 1)
        return close[0] if close else None

    def _read(self, list_id: str, number: int) -> PriceList | None:
        store = self._open_store()
        if store is None:
            return None
        from service.storage import price_lists as rows  # noqa: PLC0415

        with store.read() as connection:
            if rows.find_head(connection, list_id, number) is None:
                return None
            return to_price_list(
                decode_kept(rows.read_content(connection, list_id, number).content)
            )

    def _keep(self, prices: PriceList, key: tuple[str, int]) -> None:
        """Keep a revision, and drop those not asked for longest: of the same list beyond a few, of
        all while there are too many items."""
        with self._lock:
            self._kept[key] = prices
            same = [each for each in self._kept if each[0] == key[0]]
            for each in same[:-KEPT_REVISIONS]:
                del self._kept[each]
            while len(self._kept) > 1 and self._items() > MOST_KEPT_ITEMS:
                self._kept.popitem(last=False)

    def _items(self) -> int:
        return sum(len(prices.items) for prices in self._kept.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedList:
    """A price list that a request names; `revision` is None for the newest."""

    list_id: str
    revision: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LookedUp:
    """What the database has of a list: the number of its newest revision and the one that was asked
    for; of no such list, the id of one that is most like it."""

    list_id: str
    latest: int | None = None
    prices: PriceList | None = None
    nearest: str | None = None


def look_up(stored: StoredPrices, catalog: Catalog, named: NamedList) -> LookedUp:
    """What is known of a list. Raises StorageError."""
    list_id = named.list_id
    latest = stored.latest(list_id)
    if latest is None:
        return LookedUp(list_id=list_id, nearest=stored.nearest(catalog, list_id))
    prices = stored.find(list_id, named.revision or latest)
    return LookedUp(list_id=list_id, latest=latest, prices=prices)


class FoundPrices(StoredPrices):
    """One list that was looked up before, for a process without the database."""

    def __init__(self, looked_up: LookedUp) -> None:
        super().__init__(lambda: None)
        self._looked_up = looked_up

    def latest(self, list_id: str) -> int | None:
        """The number of the list's newest revision."""
        return self._looked_up.latest if list_id == self._looked_up.list_id else None

    def find(self, list_id: str, number: int) -> PriceList | None:
        """The revision that was looked up."""
        prices = self._looked_up.prices
        found = prices is not None and (list_id, number) == (prices.id, prices.revision)
        return prices if found else None

    def nearest(self, catalog: Catalog, list_id: str) -> str | None:  # noqa: ARG002
        """The id of a list that is most like the one that there isn't."""
        return self._looked_up.nearest
