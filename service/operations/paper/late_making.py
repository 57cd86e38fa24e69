"""A document made: what sets documents is loaded by the process that makes the first one."""

from __future__ import annotations

from service.catalog import Catalog
from service.operations.paper.asking import DocumentAsked, Made, NotMade


def make_document(catalog: Catalog, asked: DocumentAsked) -> Made | NotMade:
    """The document. Raises QuoteFaultsError for a request that can't be quoted."""
    from service.operations.paper import making  # noqa: PLC0415

    return making.make_document(catalog, asked)
