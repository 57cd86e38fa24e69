"""A price list of the catalog or the database, by id and revision, within a transaction."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError
from service.core.job.price_list import PriceList
from service.operations.prices.kept_revision import decode_kept, to_price_list
from service.storage import Connection
from service.storage import price_lists as rows


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownPrices:
    """A revision of a price list, and the SHA-256 of what it says."""

    prices: PriceList
    digest: str


def known_prices(
    connection: Connection, catalog: Catalog, list_id: str, revision: int | None
) -> KnownPrices:
    """A revision of a price list of the catalog or the database, the latest where none is named.

    Raises QuoteFaultsError (`unknown-price-list`, `unknown-revision`).
    """
    entry = catalog.price_lists.get(list_id)
    if entry is not None:
        if revision not in (None, entry.core.revision):
            raise _no_revision(list_id, revision, entry.core.revision)
        return KnownPrices(prices=entry.core, digest=entry.digest)
    latest = rows.find_latest(connection, list_id)
    if latest is None:
        raise _no_list(connection, catalog, list_id)
    number = latest.number if revision is None else revision
    if rows.find_head(connection, list_id, number) is None:
        raise _no_revision(list_id, number, latest.number)
    stored = rows.read_content(connection, list_id, number)
    prices = to_price_list(decode_kept(stored.content))
    return KnownPrices(prices=prices, digest=stored.content_digest)


def _no_list(connection: Connection, catalog: Catalog, list_id: str) -> QuoteFaultsError:
    known = [*catalog.ids("price_lists"), *rows.list_ids(connection)]
    close = difflib.get_close_matches(list_id, known, 1)
    fault = Fault(
        code="unknown-price-list",
        at=("price_list",),
        message=f"there is no price list {list_id!r}",
        hint=close[0] if close else None,
    )
    return QuoteFaultsError([fault])


def _no_revision(list_id: str, revision: int | None, latest: int | None) -> QuoteFaultsError:
    fault = Fault(
        code="unknown-revision",
        at=("revision",),
        message=f"price list {list_id} has no revision {revision}",
        hint=f"revision {latest}, or latest",
    )
    return QuoteFaultsError([fault])
