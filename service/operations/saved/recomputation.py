"""A saved revision calculated once more, and held against what was answered then."""

from __future__ import annotations

from typing import Any

from service import json_text
from service.catalog import Catalog
from service.core import ENGINE_VERSION
from service.core.errors import QuoteFaultsError
from service.faults import pointer
from service.operations.prices.stored_prices import StoredPrices
from service.operations.quoting.comparison_answer import FaultAnswer
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer
from service.operations.saved.answer_difference import answer_difference
from service.operations.saved.difference_answer import RecomputationAnswer
from service.operations.saved.repriced_revision import as_quoted, as_repriced
from service.storage.quote_rows import SavedRevision


def recompute(
    saved: SavedRevision, catalog: Catalog, stored: StoredPrices | None = None
) -> RecomputationAnswer:
    """Quote a saved revision's request again, at the price-list revision that answered it then.

    What keeps it from being quoted today is part of the answer, not an error.
    """
    try:
        answer = encode_answer(quote_document(resolved_request(saved), catalog, stored))
    except QuoteFaultsError as error:
        return RecomputationAnswer(
            same=False,
            engine_version=ENGINE_VERSION,
            catalog_version=catalog.version,
            difference=None,
            faults=tuple(
                FaultAnswer(
                    pointer=pointer(fault.at),
                    message=fault.message,
                    code=fault.code,
                    hint=fault.hint,
                )
                for fault in error.faults[:100]
            ),
        )
    if saved.head.facts.priced_by is not None:
        answer = as_repriced(answer)
    difference = answer_difference(as_quoted(saved.answer), answer)
    return RecomputationAnswer(
        same=difference.same,
        engine_version=ENGINE_VERSION,
        catalog_version=catalog.version,
        difference=difference,
        faults=(),
    )


def resolved_request(saved: SavedRevision) -> object:
    """The request as it was kept, with the number of the price-list revision that was used:
    `latest` is another one today."""
    document: Any = json_text.loads(saved.request)
    if saved.head.facts.price_list_revision is not None:
        document["prices"]["revision"] = saved.head.facts.price_list_revision
    return document
