"""A paper fixed: what sets documents is loaded by the process that makes the first one."""

from __future__ import annotations

from service.catalog import Catalog
from service.operations.callers.links.fixed import Fixed
from service.operations.paper.asking import DocumentAsked, NotMade


def fix_document(catalog: Catalog, asked: DocumentAsked) -> Fixed | NotMade:
    """A paper fixed for a link. Raises QuoteFaultsError for a request that can't be quoted."""
    from service.operations.callers.links import fixing  # noqa: PLC0415

    return fixing.fix_document(catalog, asked)
