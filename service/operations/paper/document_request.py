"""What a caller sends to get a document: a quote request, or the stations of a visit sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Annotated, Any

from pydantic import Field
from pydantic_core import PydanticCustomError

from service.catalog import Catalog
from service.fields import StrictModel, refused
from service.operations.paper.asking import DocumentAsked
from service.operations.paper.visit_sheet import MOST_STATIONS
from service.operations.quoting.quote_request import QuoteRequest
from service.operations.quoting.wrapper import WRAPPER, check_wrapper
from service.operations.ruled import MOST_ITEMS, RuledModel, read_document

Stations = Annotated[int, Field(ge=1, le=MOST_STATIONS)]


class DocumentRequest(StrictModel):
    """The quote that the document is about; a visit sheet takes `stations` in its place."""

    quote: QuoteRequest | None = None
    stations: Stations | None = Field(
        None, description="Of a visit sheet: along the wall that is still to be measured."
    )


class _Envelope(RuledModel):
    # What is in it is read on its own, so that its faults are told as those of a quote.
    quote: dict[str, Any] | None = Field(None, max_length=MOST_ITEMS)
    stations: Stations | None = None

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """One of the two is there."""
        if ("quote" in document) == ("stations" in document):
            message = "a document is made of a quote, a visit sheet of a quote or of stations"
            yield refused("field-missing", message, 'such as {"quote": {…}}', at=("quote",))


class _QuoteEnvelope(StrictModel):
    quote: dict[str, Any] = Field(max_length=MOST_ITEMS)


def asked_of(document: object, wanted: DocumentAsked, catalog: Catalog) -> DocumentAsked:
    """What is wanted, of the quote request as it came, or of the stations of a visit sheet.

    Raises QuoteFaultsError with every fault of what stands around the quote request.
    """
    if wanted.kind == "visit_sheet":
        stations = read_document(_Envelope, document, catalog).stations
        return replace(wanted, document=_as_sent(document), stations=stations)
    check_wrapper(document, wrapped=True)
    read_document(_QuoteEnvelope, document, catalog)
    return replace(wanted, document=_as_sent(document))


def _as_sent(document: object) -> dict[str, Any] | None:
    """The request with its keys and numbers as they came."""
    return document.get(WRAPPER) if isinstance(document, dict) else None
