"""Saved quotes and their revisions: made, found, moved from state to state; never deleted.

Each function works inside the caller's transaction.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import ColumnElement, Connection, insert, select, update
from sqlalchemy.dialects.postgresql import insert as postgresql_insert
from sqlalchemy.dialects.sqlite import insert as sqlite_insert

from service.core.quote_state import (
    Move,
    RevisionState,
    State,
    current_revision,
    draft_revision,
    out_revision,
    overtaken,
)
from service.core.reprice.packed_header import packed_size
from service.storage.packed_pricing import put_packed
from service.storage.quote_moves import MoveWords, put_moves
from service.storage.quote_rows import (
    HEAD_COLUMNS,
    NewRevision,
    RevisionHead,
    SavedRevision,
    iso,
    revision_head,
    saved_revision,
)
from service.storage.quote_tables import (
    QUOTE,
    QUOTE_COUNT,
    QUOTE_REFERENCE,
    QUOTE_REVISION,
)

# Statements that are built once: for a save that takes as long as carrying them out.
_COUNT_UP = (
    update(QUOTE_COUNT)
    .where(QUOTE_COUNT.c.id == 1)
    .values(quotes=QUOTE_COUNT.c.quotes + 1)
    .returning(QUOTE_COUNT.c.quotes)
)
_NEW_QUOTE, _NEW_REVISION = insert(QUOTE), insert(QUOTE_REVISION)


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedQuote:
    """A saved quote: what it is called by, and the states of its revisions in their order.
    `version` counts up with everything that changes it or stands beside it."""

    id: str
    number: int
    version: int
    notes: str | None
    created_at: int
    updated_at: int
    revisions: tuple[RevisionState, ...]

    @property
    def current(self) -> RevisionState:
        """The revision whose state is the quote's."""
        return current_revision(self.revisions)

    @property
    def out(self) -> RevisionState | None:
        """The revision that is out, if any."""
        return out_revision(self.revisions)

    @property
    def draft(self) -> RevisionState | None:
        """The draft, if there is one."""
        return draft_revision(self.revisions)

    @property
    def latest(self) -> int:
        """Number of the newest revision."""
        return self.revisions[-1].number


def insert_quote(connection: Connection, word: str, kept: NewRevision, now: int) -> str:
    """Keep a new quote with its first revision, a draft; returns its id.

    The id is the quote's number, so that ids sort as quotes were made, and `word`, which the
    caller draws so that nobody can guess it.
    """
    number = _count_up(connection)
    quote_id = f"q{number:09d}_{word}"
    row = {
        "id": quote_id,
        "number": number,
        "state": "draft",
        "current_revision": 1,
        "latest_revision": 1,
        "draft_revision": 1,
        "version": 1,
        "created_at": now,
        "updated_at": now,
    }
    connection.execute(_NEW_QUOTE, row)
    _insert_row(connection, quote_id, 1, None, kept, now)
    return quote_id


def insert_revision(
    connection: Connection,
    quote: SavedQuote,
    kept: NewRevision,
    now: int,
    *,
    supersedes: int | None = None,
) -> int:
    """Keep a further revision, a draft, of a quote that is locked; returns its number. A draft
    that stands is overtaken. It supersedes the current revision unless told otherwise."""
    number = quote.latest + 1
    _insert_row(connection, quote.id, number, supersedes or quote.current.number, kept, now)
    moves = overtaken(quote.revisions)
    put_moves(connection, quote.id, moves, now)
    after = {move.number: move.after for move in moves}
    draft = RevisionState(number=number, state="draft")
    update_quote(connection, quote.id, (*in_states(quote.revisions, after), draft), now)
    return number


def in_states(
    revisions: Sequence[RevisionState], after: Mapping[int, State]
) -> tuple[RevisionState, ...]:
    """Revisions, those that moved in their new states."""
    return tuple(replace(held, state=after.get(held.number, held.state)) for held in revisions)


def touch_quote(connection: Connection, quote_id: str, now: int) -> None:
    """Count up the version of a quote beside which something changed."""
    counted = {"version": QUOTE.c.version + 1, "updated_at": now}
    connection.execute(update(QUOTE).where(QUOTE.c.id == quote_id).values(**counted))


def put_notes(connection: Connection, quote_id: str, notes: str | None) -> None:
    """Keep the notes of a quote in place of those before; None takes them away."""
    connection.execute(update(QUOTE).where(QUOTE.c.id == quote_id).values(notes=notes))


def put_issue(
    connection: Connection, quote_id: str, number: int, day: date, valid_until: date | None
) -> None:
    """Keep the day on which a revision was issued, and until when it holds."""
    dates = {"issued_on": iso(day), "valid_until": iso(valid_until)}
    connection.execute(update(QUOTE_REVISION).where(*_this(quote_id, number)).values(**dates))


def put_content(connection: Connection, quote_id: str, number: int, kept: NewRevision) -> None:
    """Keep the content of a re-priced draft, as it is made or as it is issued, in place of what
    was kept of it."""
    connection.execute(
        update(QUOTE_REVISION)
        .where(*_this(quote_id, number))
        .values(**kept.columns, made_from=None)
    )


def claim_reference(connection: Connection, reference: str, quote_id: str) -> str:
    """Give a reference to a quote, if no quote has it yet; returns the id of the one that has."""
    dialect = connection.dialect.name
    make = postgresql_insert if dialect == "postgresql" else sqlite_insert
    row = {"reference": reference, "quote_id": quote_id}
    connection.execute(make(QUOTE_REFERENCE).values(row).on_conflict_do_nothing())
    owner: str = connection.execute(
        select(QUOTE_REFERENCE.c.quote_id).where(QUOTE_REFERENCE.c.reference == reference)
    ).scalar_one()
    return owner


def find_quote(connection: Connection, quote_id: str, *, lock: bool = False) -> SavedQuote | None:
    """A quote by its id, or None; with `lock` nobody else can change it in the meantime."""
    statement = select(QUOTE).where(QUOTE.c.id == quote_id)
    row = connection.execute(statement.with_for_update() if lock else statement).one_or_none()
    if row is None:
        return None
    return SavedQuote(
        id=row.id,
        number=row.number,
        version=row.version,
        notes=row.notes,
        created_at=row.created_at,
        updated_at=row.updated_at,
        revisions=_states(connection, quote_id),
    )


def find_revision(connection: Connection, quote_id: str, revision: int) -> SavedRevision | None:
    """One revision, or None."""
    row = connection.execute(select(QUOTE_REVISION).where(*_this(quote_id, revision))).one_or_none()
    return None if row is None else saved_revision(row)


def find_heads(
    connection: Connection, quote_id: str, *, limit: int, before: int | None = None
) -> tuple[RevisionHead, ...]:
    """At most `limit` revisions of a quote, the newest first, numbered below `before` if given."""
    statement = (
        select(*HEAD_COLUMNS)
        .where(QUOTE_REVISION.c.quote_id == quote_id)
        .order_by(QUOTE_REVISION.c.revision.desc())
        .limit(limit)
    )
    if before is not None:
        statement = statement.where(QUOTE_REVISION.c.revision < before)
    return tuple(revision_head(row) for row in connection.execute(statement))


def change_states(
    connection: Connection,
    quote: SavedQuote,
    moves: Sequence[Move],
    now: int,
    words: MoveWords | None = None,
) -> None:
    """Carry out moves on a quote that is locked, and keep them with what was said."""
    put_moves(connection, quote.id, moves, now, words)
    after = {move.number: move.after for move in moves}
    update_quote(connection, quote.id, in_states(quote.revisions, after), now)


def _count_up(connection: Connection) -> int:
    number: int = connection.execute(_COUNT_UP).scalar_one()
    return number


def _insert_row(
    connection: Connection,
    quote_id: str,
    number: int,
    supersedes: int | None,
    kept: NewRevision,
    now: int,
) -> None:
    place = {"quote_id": quote_id, "revision": number, "state": "draft"}
    row = {**place, "supersedes": supersedes, "created_at": now, **kept.columns}
    connection.execute(_NEW_REVISION, row)
    if kept.pricing is not None:
        put_packed(connection, quote_id, number, kept.pricing[: packed_size(kept.pricing)])


def _states(connection: Connection, quote_id: str) -> tuple[RevisionState, ...]:
    columns = QUOTE_REVISION.c
    rows = connection.execute(
        select(columns.revision, columns.state, columns.complete, columns.materials_only)
        .where(columns.quote_id == quote_id)
        .order_by(columns.revision)
    )
    return tuple(
        RevisionState(
            number=row.revision,
            state=row.state,
            can_be_issued=bool(row.complete or row.materials_only),
        )
        for row in rows
    )


def update_quote(
    connection: Connection, quote_id: str, revisions: Sequence[RevisionState], now: int
) -> None:
    """Keep what follows from the states of a quote's revisions, and count up its version."""
    current = current_revision(revisions)
    out, draft = out_revision(revisions), draft_revision(revisions)
    connection.execute(
        update(QUOTE)
        .where(QUOTE.c.id == quote_id)
        .values(
            state=current.state,
            current_revision=current.number,
            latest_revision=revisions[-1].number,
            out_revision=None if out is None else out.number,
            out_state=None if out is None else out.state,
            draft_revision=None if draft is None else draft.number,
        )
    )
    touch_quote(connection, quote_id, now)


def _this(quote_id: str, revision: int) -> tuple[ColumnElement[bool], ...]:
    return QUOTE_REVISION.c.quote_id == quote_id, QUOTE_REVISION.c.revision == revision
