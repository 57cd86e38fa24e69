"""Which saved quotes fit a filter, the newest first, a page at a time.

What a filter asks of is the quote's current revision: the one whose state is the quote's.
"""

from __future__ import annotations

from calendar import timegm
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Select, case, select

from service.core.quote_state import State
from service.core.rounding import bound_in_minor_units
from service.storage.quote_rows import HEAD_COLUMNS, MOST_MINOR, RevisionHead, iso, revision_head
from service.storage.quote_tables import QUOTE, QUOTE_AS_IT_IS, QUOTE_REVISION

# No currency has more places (ISO 4217).
_PLACES = (0, 1, 2, 3, 4)
DAY_S = 24 * 60 * 60


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteFilter:
    """What is asked of saved quotes; None asks nothing. Bounds are inside. `title` is part of
    the title, in any case; totals are in units of the currency (`Decimal("1200.50")`), dates of
    `created` are days in UTC."""

    ids: tuple[str, ...] | None = None
    references: tuple[str, ...] | None = None
    states: tuple[State, ...] | None = None
    title: str | None = None
    currency: str | None = None
    price_list: str | None = None
    price_list_revision: int | None = None
    issued_from: date | None = None
    issued_to: date | None = None
    valid_until_from: date | None = None
    valid_until_to: date | None = None
    total_from: Decimal | None = None
    total_to: Decimal | None = None
    created_from: date | None = None
    created_to: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedQuote:
    """A quote in a list: itself, and its current revision, with what was asked and answered
    where the list is full."""

    id: str
    number: int
    state: State
    latest_revision: int
    created_at: int
    updated_at: int
    current: RevisionHead
    request: bytes | None = None
    answer: bytes | None = None


def list_quotes(
    connection: Connection,
    wanted: QuoteFilter,
    *,
    limit: int,
    before: int | None = None,
    full: bool = False,
) -> tuple[ListedQuote, ...]:
    """At most `limit` quotes that fit, the newest first, numbered below `before` if given.

    A number is never given twice and commits come in the order of numbers, so that pages neither
    repeat nor miss a quote that was there when the first page was read.
    """
    statement = _columns(full=full).where(*_conditions(wanted))
    if before is not None:
        statement = statement.where(QUOTE.c.number < before)
    newest_first = statement.order_by(QUOTE.c.number.desc()).limit(limit)
    return tuple(_listed(row, full=full) for row in connection.execute(newest_first))


def _columns(*, full: bool) -> Select[*tuple[Any, ...]]:
    """What is read of quotes as they are."""
    content = (QUOTE_REVISION.c.request, QUOTE_REVISION.c.answer) if full else ()
    return select(
        *HEAD_COLUMNS,
        *content,
        QUOTE.c.number,
        QUOTE.c.latest_revision,
        QUOTE.c.created_at.label("quote_created_at"),
        QUOTE.c.updated_at.label("quote_updated_at"),
    ).select_from(QUOTE_AS_IT_IS)


def _listed(row: Row[Any], *, full: bool) -> ListedQuote:
    return ListedQuote(
        id=row.quote_id,
        number=row.number,
        state=row.state,
        latest_revision=row.latest_revision,
        created_at=row.quote_created_at,
        updated_at=row.quote_updated_at,
        current=revision_head(row),
        request=bytes(row.request) if full else None,
        answer=bytes(row.answer) if full else None,
    )


def _conditions(wanted: QuoteFilter) -> Iterator[ColumnElement[bool]]:
    columns = QUOTE_REVISION.c
    for column, values in (
        (QUOTE.c.id, wanted.ids),
        (columns.reference, wanted.references),
        (QUOTE.c.state, wanted.states),
    ):
        if values is not None:
            yield column.in_(values)
    for column, value in (
        (columns.currency, wanted.currency),
        (columns.price_list, wanted.price_list),
        (columns.price_list_revision, wanted.price_list_revision),
    ):
        if value is not None:
            yield column == value
    if wanted.title is not None:
        yield columns.title_folded.contains(wanted.title.casefold(), autoescape=True)
    yield from _bounds(wanted)


def _bounds(wanted: QuoteFilter) -> Iterator[ColumnElement[bool]]:
    columns = QUOTE_REVISION.c
    for column, first, last in (
        (columns.issued_on, wanted.issued_from, wanted.issued_to),
        (columns.valid_until, wanted.valid_until_from, wanted.valid_until_to),
    ):
        if first is not None:
            yield column >= iso(first)
        if last is not None:
            yield column <= iso(last)
    if wanted.total_from is not None:
        yield columns.total_minor >= _in_minor_units(wanted.total_from, up=True)
    if wanted.total_to is not None:
        yield columns.total_minor <= _in_minor_units(wanted.total_to, up=False)
    if wanted.created_from is not None:
        yield QUOTE.c.created_at >= _midnight(wanted.created_from)
    if wanted.created_to is not None:
        yield QUOTE.c.created_at < _midnight(wanted.created_to) + DAY_S


def _midnight(day: date) -> int:
    return timegm(day.timetuple())


def _in_minor_units(bound: Decimal, *, up: bool) -> ColumnElement[int]:
    """A bound in the minor unit of each row's currency; beyond all amounts it stays a bound."""
    scaled = {
        places: max(-MOST_MINOR, min(MOST_MINOR, bound_in_minor_units(bound, places, up=up)))
        for places in _PLACES
    }
    return case(scaled, value=QUOTE_REVISION.c.minor_places)


def filter_conditions(wanted: QuoteFilter) -> tuple[ColumnElement[bool], ...]:
    """What a quote joined with its current revision must meet to fit a filter."""
    return tuple(_conditions(wanted))
