"""Requests of the field answered in another process: the form that is wanted is told with them."""

from __future__ import annotations

from service.catalog import Catalog
from service.operations.field.comparison import field_compare_document
from service.operations.field.quote import field_quote_document
from service.operations.quoting.elsewhere import Asked
from service.operations.quoting.quote_answer import encode_answer


def answer_field_quote(catalog: Catalog, told: Asked) -> bytes:
    """The answer to a quote request of the field. Raises QuoteFaultsError."""
    return encode_answer(field_quote_document(told.document, catalog, told.stored()))


def answer_field_comparison(catalog: Catalog, told: Asked) -> bytes:
    """The answer to a comparison of the field. Raises QuoteFaultsError."""
    return encode_answer(field_compare_document(told.document, catalog, told.stored()))
