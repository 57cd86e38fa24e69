"""A quote that is to be kept, calculated in another process."""

from __future__ import annotations

from dataclasses import dataclass

from service.catalog import Catalog
from service.operations.quoting.elsewhere import Asked
from service.operations.saved.saved_quote import Draft, draft_quote


@dataclass(frozen=True, slots=True)
class DraftAsked:
    """The document that holds the quote's request; `first`: it is to be a new quote."""

    told: Asked
    first: bool


def make_draft(catalog: Catalog, asked: DraftAsked) -> Draft:
    """The draft. Raises QuoteFaultsError; places begin with `quote`."""
    told = asked.told
    return draft_quote(told.document, catalog, told.stored(), first=asked.first)
