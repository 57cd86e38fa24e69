"""Saved quotes and their revisions: made, found, moved from state to state; never deleted.

Each function works inside the caller's transaction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select, update
from sqlalchemy.dialects.postgresql import insert as postgresql_insert
from sqlalchemy.dialects.sqlite import insert as sqlite_insert

from service.core.quote_state import Move, RevisionState, State, current_revision
from service.core.reprice.packed import packed_size
from service.storage.packed_pricing import put_packed
from service.storage.quote_rows import (
    HEAD_COLUMNS,
    NewRevision,
    RevisionHead,
    SavedRevision,
    revision_head,
    row_of,
    saved_revision,
)
from service.storage.quote_tables import (
    QUOTE,
    QUOTE_COUNT,
    QUOTE_MOVE,
    QUOTE_REFERENCE,
    QUOTE_REVISION,
)

_COUNT_ROW = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedQuote:
    """A saved quote: what it is called by, and the states of its revisions in their order."""

    id: str
    number: int
    created_at: int
    updated_at: int
    revisions: tuple[RevisionState, ...]

    @property
    def current(self) -> RevisionState:
        """The revision whose state is the quote's."""
        return current_revision(self.revisions)

    @property
    def latest(self) -> int:
        """Number of the newest revision."""
        return self.revisions[-1].number


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptMove:
    """One move, and when it was made (seconds, UTC)."""

    revision: int
    before: State
    after: State
    moved_at: int


def insert_quote(connection: Connection, word: str, kept: NewRevision, now: int) -> str:
    """Keep a new quote with its first revision, a draft; returns its id.

    The id is the quote's number, so that ids sort as quotes were made, and `word`, which the
    caller draws so that nobody can guess it.
    """
    number = _count_up(connection)
    quote_id = f"q{number:09d}_{word}"
    connection.execute(
        insert(QUOTE).values(
            id=quote_id,
            number=number,
            state="draft",
            current_revision=1,
            latest_revision=1,
            created_at=now,
            updated_at=now,
        )
    )
    _insert_row(connection, quote_id, 1, None, kept, now)
    return quote_id


def insert_revision(connection: Connection, quote: SavedQuote, kept: NewRevision, now: int) -> int:
    """Keep a further revision, a draft, of a quote that is locked; returns its number."""
    number = quote.latest + 1
    _insert_row(connection, quote.id, number, quote.current.number, kept, now)
    draft = RevisionState(number=number, state="draft")
    _update_quote(connection, quote.id, (*quote.revisions, draft), now)
    return number


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
        created_at=row.created_at,
        updated_at=row.updated_at,
        revisions=_states(connection, quote_id),
    )


def find_revision(connection: Connection, quote_id: str, revision: int) -> SavedRevision | None:
    """One revision, or None."""
    row = connection.execute(
        select(QUOTE_REVISION).where(
            QUOTE_REVISION.c.quote_id == quote_id, QUOTE_REVISION.c.revision == revision
        )
    ).one_or_none()
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


def find_moves(connection: Connection, quote_id: str) -> tuple[KeptMove, ...]:
    """Every move of a quote, the oldest first."""
    rows = connection.execute(
        select(QUOTE_MOVE).where(QUOTE_MOVE.c.quote_id == quote_id).order_by(QUOTE_MOVE.c.step)
    )
    return tuple(
        KeptMove(revision=row.revision, before=row.before, after=row.after, moved_at=row.moved_at)
        for row in rows
    )


def change_states(
    connection: Connection, quote: SavedQuote, moves: Sequence[Move], now: int
) -> None:
    """Carry out moves on a quote that is locked, and note them."""
    steps = len(find_moves(connection, quote.id))
    after = {move.number: move.after for move in moves}
    for step, move in enumerate(moves, start=steps + 1):
        connection.execute(
            update(QUOTE_REVISION)
            .where(QUOTE_REVISION.c.quote_id == quote.id)
            .where(QUOTE_REVISION.c.revision == move.number)
            .values(state=move.after)
        )
        connection.execute(
            insert(QUOTE_MOVE).values(
                quote_id=quote.id,
                step=step,
                revision=move.number,
                before=move.before,
                after=move.after,
                moved_at=now,
            )
        )
    states = tuple(
        RevisionState(number=held.number, state=after.get(held.number, held.state))
        for held in quote.revisions
    )
    _update_quote(connection, quote.id, states, now)


def _count_up(connection: Connection) -> int:
    counted = (
        update(QUOTE_COUNT)
        .where(QUOTE_COUNT.c.id == _COUNT_ROW)
        .values(quotes=QUOTE_COUNT.c.quotes + 1)
        .returning(QUOTE_COUNT.c.quotes)
    )
    number: int = connection.execute(counted).scalar_one()
    return number


def _insert_row(
    connection: Connection,
    quote_id: str,
    number: int,
    supersedes: int | None,
    kept: NewRevision,
    now: int,
) -> None:
    connection.execute(
        insert(QUOTE_REVISION).values(
            quote_id=quote_id,
            revision=number,
            state="draft",
            supersedes=supersedes,
            created_at=now,
            **row_of(kept),
        )
    )
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


def _update_quote(
    connection: Connection, quote_id: str, revisions: Sequence[RevisionState], now: int
) -> None:
    current = current_revision(revisions)
    connection.execute(
        update(QUOTE)
        .where(QUOTE.c.id == quote_id)
        .values(
            state=current.state,
            current_revision=current.number,
            latest_revision=revisions[-1].number,
            updated_at=now,
        )
    )
