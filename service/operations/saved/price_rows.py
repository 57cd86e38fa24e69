"""The price lines of saved quotes as CSV: a row a line, as a bookkeeper sums them."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from service.documents.spreadsheet_text import as_text
from service.storage.quote_lists import ListedQuote

COLUMNS = (
    "number",
    "id",
    "state",
    "revision",
    "reference",
    "title",
    "issued_on",
    "currency",
    "group",
    "kind",
    "item",
    "description",
    "quantity",
    "unit",
    "unit_cost",
    "per",
    "cost",
    "price",
    "taxable",
)


def price_rows(pages: Iterable[Sequence[ListedQuote]]) -> Iterator[bytes]:
    """A head, then a row for each price line of each quote, page by page (RFC 4180)."""
    head = csv_text([COLUMNS])
    for page in pages:
        yield head + csv_text(row for quote in page for row in _rows(quote))
        head = b""


def csv_text(rows: Iterable[Sequence[object]]) -> bytes:
    """Rows as CSV in UTF-8."""
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    return text.getvalue().encode("utf-8")


def _rows(quote: ListedQuote) -> Iterator[tuple[object, ...]]:
    """The lines of the answer as it was kept, by whatever version."""
    facts = quote.current.facts
    answer: dict[str, Any] = json.loads(quote.answer or b"{}")
    for line in answer.get("price", {}).get("lines", ()):
        yield (
            quote.number,
            quote.id,
            quote.state,
            quote.current.revision,
            as_text(facts.reference),
            as_text(facts.title),
            facts.issued_on or "",
            facts.currency,
            line["group"],
            line.get("kind", ""),
            line["item"],
            as_text(line.get("description")),
            line["quantity"]["value"],
            line["quantity"]["unit"],
            line["unit_cost"],
            line["per"],
            line["cost"],
            line["price"],
            str(line.get("taxable", "")).lower(),
        )
