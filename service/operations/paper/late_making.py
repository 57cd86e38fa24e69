"""A document made: what sets documents is loaded by the process that makes the first one."""

from __future__ import annotations

from dataclasses import replace

from service.catalog import Catalog
from service.core.errors import QuoteFaultsError
from service.operations.paper.asking import DocumentAsked, Made, NotMade
from service.operations.paper.document_request import asked_of
from service.operations.quoting.elsewhere import Asked
from service.operations.saved.saved_quote_request import inside_request


def make_document(catalog: Catalog, asked: DocumentAsked) -> Made | NotMade:
    """The document. Raises QuoteFaultsError for a request that can't be quoted."""
    from service.operations.paper import making  # noqa: PLC0415

    return making.make_document(catalog, asked)


def make_unread(wanted: DocumentAsked, catalog: Catalog, told: Asked) -> Made | NotMade:
    """The document that is wanted, of a request for it that nobody read before. Raises
    QuoteFaultsError; places are those of the request."""
    asked = asked_of(told.document, wanted, catalog)
    if asked.document is None:
        return make_document(catalog, asked)
    try:
        return make_document(catalog, replace(asked, prices=told.prices))
    except QuoteFaultsError as error:
        raise QuoteFaultsError(inside_request(error.faults)) from None
