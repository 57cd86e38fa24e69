"""Moves of a saved quote's revisions from state to state, each kept with what was said of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, func, insert, select, update

from service.core.quote_state import Move, State
from service.storage.quote_rows import iso
from service.storage.quote_tables import QUOTE_MOVE, QUOTE_REVISION


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveWords:
    """What is said of a move: the day of issue, a note, the reason, and that a quote is accepted
    although it had run out."""

    on: date | None = None
    note: str | None = None
    reason: str | None = None
    after_expiry: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptMove:
    """One move, and when it was made (seconds, UTC)."""

    revision: int
    before: State
    after: State
    moved_at: int
    words: MoveWords


def find_moves(connection: Connection, quote_id: str) -> tuple[KeptMove, ...]:
    """Every move of a quote, the oldest first."""
    rows = connection.execute(
        select(QUOTE_MOVE).where(QUOTE_MOVE.c.quote_id == quote_id).order_by(QUOTE_MOVE.c.step)
    )
    return tuple(
        KeptMove(
            revision=row.revision,
            before=row.before,
            after=row.after,
            moved_at=row.moved_at,
            words=MoveWords(
                on=None if row.on_day is None else date.fromisoformat(row.on_day),
                note=row.note,
                reason=row.reason,
                after_expiry=row.after_expiry,
            ),
        )
        for row in rows
    )


def put_moves(
    connection: Connection,
    quote_id: str,
    moves: Iterable[Move],
    now: int,
    words: MoveWords | None = None,
) -> None:
    """Bring revisions into their new states and keep the moves; `words` are those of the first,
    which the others follow."""
    counted = select(func.count()).where(QUOTE_MOVE.c.quote_id == quote_id)
    steps: int = connection.execute(counted).scalar_one()
    said = words or MoveWords()
    for step, move in enumerate(moves, start=steps + 1):
        connection.execute(
            update(QUOTE_REVISION)
            .where(QUOTE_REVISION.c.quote_id == quote_id)
            .where(QUOTE_REVISION.c.revision == move.number)
            .values(state=move.after)
        )
        connection.execute(
            insert(QUOTE_MOVE).values(
                quote_id=quote_id,
                step=step,
                revision=move.number,
                before=move.before,
                after=move.after,
                moved_at=now,
                on_day=iso(said.on),
                note=said.note,
                reason=said.reason,
                after_expiry=said.after_expiry,
            )
        )
        said = MoveWords()


def erase_notes(connection: Connection, quote_id: str) -> int:
    """Forget the notes on the moves of a quote; when and why it moved stays. How many it were."""
    held = QUOTE_MOVE.c
    noted = update(QUOTE_MOVE).where(held.quote_id == quote_id, held.note.is_not(None))
    return connection.execute(noted.values(note=None)).rowcount
