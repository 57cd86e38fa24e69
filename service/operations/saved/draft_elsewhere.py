"""A quote that is to be kept, calculated in another process."""

from __future__ import annotations

from service.catalog import Catalog
from service.operations.quoting.elsewhere import Asked
from service.operations.saved.saved_quote import Draft, draft_quote


def make_draft(catalog: Catalog, told: Asked, *, first: bool) -> Draft:
    """The draft that a document asks for; `first`: of a new quote. Raises QuoteFaultsError; places
    begin with `quote`."""
    return draft_quote(told.document, catalog, told.stored(), first=first)
