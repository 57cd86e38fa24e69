"""Saved quotes as lines of JSON or CSV, page by page, so that memory stays flat."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Literal, assert_never

import msgspec

from service.catalog import Catalog
from service.documents.spreadsheet_text import as_text
from service.operations.quoting.measures import plain
from service.operations.quoting.quote_answer import encode_answer
from service.operations.saved.price_rows import csv_text, price_rows
from service.operations.saved.saved_quote_answer import instant, listed_answer
from service.operations.saved.unnamed_answer import unnamed_listed
from service.operations.saved.waiting_answers import with_answers
from service.storage import Store
from service.storage.quote_filter import QuoteFilter
from service.storage.quote_lists import After, ListedQuote, list_quotes
from service.storage.quote_rows import RevisionHead

Form = Literal["ndjson", "csv", "lines"]
Listed = Callable[[ListedQuote], msgspec.Struct]

PAGE = 100
COLUMNS = (
    "number",
    "id",
    "state",
    "revision",
    "latest_revision",
    "reference",
    "title",
    "issued_on",
    "valid_until",
    "currency",
    "direct_cost",
    "subtotal",
    "total",
    "margin",
    "out_revision",
    "out_state",
    "out_total",
    "out_margin",
    "draft_revision",
    "complete",
    "materials_only",
    "price_list",
    "price_list_revision",
    "engine_version",
    "digest",
    "created_at",
)


def export_quotes(
    store: Store,
    catalog: Catalog,
    wanted: QuoteFilter,
    form: Form,
    *,
    full: bool = False,
    named: bool = True,
) -> Iterator[bytes]:
    """Every quote that fits, the newest first, page by page; memory holds one page.

    Lines of JSON are those of lists, with request and answer where it is `full`; unless `named`,
    without what may name a customer. They end with
    `{"end": true, "quotes": 2}`, which a stream that was cut lacks. `lines` are the price lines of
    each quote's current revision as CSV. CSV is RFC 4180 with a head;
    decimals have a point, dates are ISO 8601, and text that a spreadsheet would calculate gets an
    apostrophe.
    """
    pages = _pages(store, catalog, wanted, full=full or form == "lines")
    match form:
        case "ndjson":
            return _json_lines(pages, listed_answer if named else unnamed_listed)
        case "csv":
            return _csv_rows(pages)
        case "lines":
            return price_rows(pages)
        case _:
            assert_never(form)


def _pages(
    store: Store, catalog: Catalog, wanted: QuoteFilter, *, full: bool
) -> Iterator[Sequence[ListedQuote]]:
    """At least one page, each read in a transaction of its own; answers that wait are made."""
    after: After | None = None

    def read(store: Store) -> Sequence[ListedQuote]:
        with store.read() as connection:
            return list_quotes(connection, wanted, limit=PAGE, after=after, full=full)

    more = True
    while more:
        page = with_answers(store, catalog, read)
        yield page
        more = len(page) == PAGE
        after = page[-1].place if page else None


def _json_lines(pages: Iterable[Sequence[ListedQuote]], answer: Listed) -> Iterator[bytes]:
    count = 0
    for page in pages:
        count += len(page)
        yield b"".join(encode_answer(answer(quote)) + b"\n" for quote in page)
    yield b'{"end":true,"quotes":%d}\n' % count


def _csv_rows(pages: Iterable[Sequence[ListedQuote]]) -> Iterator[bytes]:
    head = csv_text([COLUMNS])
    for page in pages:
        yield head + csv_text(map(_row, page))
        head = b""


def _row(quote: ListedQuote) -> tuple[object, ...]:
    facts = quote.current.facts
    return (
        quote.number,
        quote.id,
        quote.state,
        quote.current.revision,
        quote.latest_revision,
        as_text(facts.reference),
        as_text(facts.title),
        facts.issued_on or "",
        facts.valid_until or "",
        facts.currency,
        plain(facts.cost),
        plain(facts.subtotal),
        plain(facts.total),
        _plain(facts.margin),
        *_out(quote.out),
        quote.draft_revision or "",
        str(facts.complete).lower(),
        str(facts.materials_only).lower(),
        facts.price_list or "",
        facts.price_list_revision or "",
        facts.engine_version,
        facts.digest,
        instant(quote.created_at),
    )


def _out(head: RevisionHead | None) -> tuple[object, ...]:
    if head is None:
        return ("", "", "", "")
    return head.revision, head.state, plain(head.facts.total), _plain(head.facts.margin)


def _plain(figure: Decimal | None) -> str:
    return "" if figure is None else plain(figure)
