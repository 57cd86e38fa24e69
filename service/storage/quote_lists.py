"""Which saved quotes fit a filter, in an order, a page at a time.

What a filter asks of is one revision of a quote: the one that is out where `out_states` are asked
for, else the draft where that is asked for, else the current one, whose state is the quote's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import (
    ColumnElement,
    Connection,
    Row,
    Select,
    and_,
    func,
    or_,
    select,
    tuple_,
)

from service.core.quote_state import State
from service.storage.days import zone_of
from service.storage.quote_filter import QuoteFilter, filter_conditions
from service.storage.quote_metadata import find_metadata
from service.storage.quote_rows import HEAD_COLUMNS, RevisionHead, check_made, revision_head
from service.storage.quote_tables import QUOTE, QUOTE_REVISION

OrderBy = Literal["number", "updated_at", "valid_until", "total", "margin"]
# A key of an order: the number of a quote, or what stands first and the number after it.
Key = int | str
_LOWEST = -(2**31)


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """How a list is ordered; quotes of which the key isn't known stand where the least do, and
    quotes with one key by their number, the newest first."""

    by: OrderBy = "number"
    descending: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """The place after which a page begins: the last quote of the page before."""

    key: Key
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedQuote:
    """A quote in a list: itself, its current revision and the one that is out, with what was
    asked and answered where the list is full. `place` is where the page after it begins."""

    id: str
    number: int
    state: State
    latest_revision: int
    draft_revision: int | None
    created_at: int
    updated_at: int
    notes: str | None
    metadata: Mapping[str, str]
    current: RevisionHead
    out: RevisionHead | None
    place: After
    request: bytes | None = None
    answer: bytes | None = None


NEWEST_FIRST = Order()


def list_quotes(
    connection: Connection,
    wanted: QuoteFilter,
    *,
    limit: int,
    order: Order = NEWEST_FIRST,
    after: After | None = None,
    full: bool = False,
) -> tuple[ListedQuote, ...]:
    """At most `limit` quotes that fit, those after a place if given.

    In the order of numbers pages neither repeat nor miss a quote that was there when the first
    page was read: a number is never given twice and commits come in the order of numbers.
    """
    number = wanted.judged_revision
    judged = QUOTE_REVISION if number is None else QUOTE_REVISION.alias("judged")
    key = _key(order, judged.c)
    joined = QUOTE.join(QUOTE_REVISION, of_quote(QUOTE_REVISION.c, QUOTE.c.current_revision))
    if number is not None:
        joined = joined.join(judged, of_quote(judged.c, number))
    chosen = _columns(key, full=full).select_from(joined)
    statement = chosen.where(*filter_conditions(wanted, judged.c, zone_of(connection)))
    if after is not None:
        statement = statement.where(_comes_after(key, order, after))
    by = key.desc() if order.descending else key.asc()
    rows = connection.execute(statement.order_by(by, QUOTE.c.number.desc()).limit(limit)).all()
    return _listed(connection, rows, full=full)


def _key(order: Order, judged: Any) -> ColumnElement[Any]:  # noqa: ANN401
    match order.by:
        case "number":
            return QUOTE.c.number
        case "updated_at":
            return QUOTE.c.updated_at
        case "valid_until":
            return func.coalesce(judged.valid_until, "")
        case "total":
            total: ColumnElement[Any] = judged.total_minor
            return total
        case "margin":
            return func.coalesce(judged.margin, _LOWEST)


def _comes_after(key: ColumnElement[Any], order: Order, after: After) -> ColumnElement[bool]:
    beyond = key < after.key if order.descending else key > after.key
    return or_(beyond, and_(key == after.key, QUOTE.c.number < after.number))


def _columns(key: ColumnElement[Any], *, full: bool) -> Select[*tuple[Any, ...]]:
    """What is read of quotes and their current revisions."""
    content = (QUOTE_REVISION.c.request, QUOTE_REVISION.c.answer) if full else ()
    return select(
        *HEAD_COLUMNS,
        *content,
        QUOTE.c.number,
        QUOTE.c.latest_revision,
        QUOTE.c.draft_revision,
        QUOTE.c.out_revision,
        QUOTE.c.notes,
        QUOTE.c.created_at.label("quote_created_at"),
        QUOTE.c.updated_at.label("quote_updated_at"),
        key.label("place"),
    )


def of_quote(revision: Any, number: ColumnElement[Any]) -> ColumnElement[bool]:  # noqa: ANN401
    """That a revision, by its columns, is the one of a quote with a number."""
    return and_(revision.quote_id == QUOTE.c.id, revision.revision == number)


def _listed(
    connection: Connection, rows: Sequence[Row[Any]], *, full: bool
) -> tuple[ListedQuote, ...]:
    if full:
        check_made(rows)
    heads = _out_heads(connection, rows)
    metadata = find_metadata(connection, [row.quote_id for row in rows])
    return tuple(
        ListedQuote(
            id=row.quote_id,
            number=row.number,
            state=row.state,
            latest_revision=row.latest_revision,
            draft_revision=row.draft_revision,
            created_at=row.quote_created_at,
            updated_at=row.quote_updated_at,
            notes=row.notes,
            metadata=metadata.get(row.quote_id, {}),
            current=revision_head(row),
            out=heads.get(row.quote_id),
            place=After(key=row.place, number=row.number),
            request=bytes(row.request) if full else None,
            answer=bytes(row.answer) if full else None,
        )
        for row in rows
    )


def _out_heads(connection: Connection, rows: Sequence[Row[Any]]) -> dict[str, RevisionHead]:
    """The revisions that are out, by quote."""
    heads = {row.quote_id: revision_head(row) for row in rows if row.revision == row.out_revision}
    others = [
        (row.quote_id, row.out_revision)
        for row in rows
        if row.out_revision is not None and row.quote_id not in heads
    ]
    if others:
        key = tuple_(QUOTE_REVISION.c.quote_id, QUOTE_REVISION.c.revision)
        found = connection.execute(select(*HEAD_COLUMNS).where(key.in_(others)))
        heads |= {row.quote_id: revision_head(row) for row in found}
    return heads
