"""A revision of a price list is one issue of it: other prices are another number."""

from __future__ import annotations

from collections.abc import Iterator

from service.catalog.errors import CatalogInvalidError
from service.catalog.registry import Catalog
from service.core.errors import Fault


def check_revisions(before: Catalog, after: Catalog) -> None:
    """Raises CatalogInvalidError with every price list that says something else under the same
    revision: quotes name a list by its number."""
    faults = tuple(_changed(before, after))
    if faults:
        raise CatalogInvalidError(faults)


def _changed(before: Catalog, after: Catalog) -> Iterator[Fault]:
    for id_, entry in after.price_lists.items():
        held, revision = before.price_lists.get(id_), entry.core.revision
        if held is None or held.core.revision != revision or held.digest == entry.digest:
            continue
        yield Fault(
            code="revision-changed",
            at=(entry.file, "revision"),
            message=f"revision {revision} of the price list {id_} says something else than before; "
            "a revision never changes",
            hint=f"revision = {(revision or 0) + 1}",
        )
