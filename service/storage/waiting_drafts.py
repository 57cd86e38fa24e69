"""Drafts of a large re-pricing, many at once: kept as what changes, until their answer is made.

Such a row has its amounts, margin and price list, and the packed integers that a further
re-pricing reads; `made_from` names the revision of which its answer is made. Request, answer and
digest are empty until then. Whatever reads amounts needs no answer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select, update

from service.core.quote_state import RevisionState, current_revision, overtaken
from service.storage.quote_rows import HEAD_COLUMNS, RevisionHead, revision_head
from service.storage.quote_tables import QUOTE, QUOTE_MOVE, QUOTE_REVISION
from service.storage.repricing_tables import QUOTE_PRICING

_Json = dict[str, Any]
_NO_ANSWER: Mapping[str, object] = {
    "request": b"",
    "answer": b"",
    # SHA-256 of nothing, which is what is kept.
    "answer_digest": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "digest": "",
    "pricing": None,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldQuote:
    """A quote that is locked: rows of its revisions in order, without what may be long."""

    id: str
    revisions: tuple[Row[Any], ...]

    @property
    def states(self) -> tuple[RevisionState, ...]:
        """The states of its revisions."""
        return tuple(
            RevisionState(
                number=row.revision,
                state=row.state,
                can_be_issued=bool(row.complete or row.materials_only),
            )
            for row in self.revisions
        )

    @property
    def current(self) -> RevisionState:
        """The revision whose state is the quote's."""
        return current_revision(self.states)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingDraft:
    """A draft to be kept without its answer: its quote, the revision it is made of, the columns in
    which it differs from that, and its packed integers."""

    quote: HeldQuote
    made_from: int
    changed: Mapping[str, object]
    packed: bytes

    @property
    def number(self) -> int:
        """Its number in its quote."""
        number: int = self.quote.revisions[-1].revision + 1
        return number


def hold_quotes(connection: Connection, ids: Sequence[str]) -> dict[str, HeldQuote]:
    """Quotes by their ids, which nobody else can change in the meantime."""
    held = select(QUOTE.c.id).where(QUOTE.c.id.in_(ids)).order_by(QUOTE.c.id).with_for_update()
    found: dict[str, list[Row[Any]]] = {id_: [] for id_ in connection.scalars(held).all()}
    place = QUOTE_REVISION.c.quote_id, QUOTE_REVISION.c.revision
    rows = select(*HEAD_COLUMNS).where(QUOTE_REVISION.c.quote_id.in_(found)).order_by(*place)
    for row in connection.execute(rows).all():
        found[row.quote_id].append(row)
    return {id_: HeldQuote(id=id_, revisions=tuple(each)) for id_, each in found.items()}


def insert_waiting(connection: Connection, drafts: Sequence[WaitingDraft], now: int) -> None:
    """Keep drafts of quotes that are held, at most one each; drafts that stand are overtaken."""
    if not drafts:
        return
    _overtake(connection, drafts, now)
    connection.execute(insert(QUOTE_REVISION), [_revision(draft, now) for draft in drafts])
    connection.execute(
        insert(QUOTE_PRICING),
        [
            {"quote_id": draft.quote.id, "revision": draft.number, "packed": draft.packed}
            for draft in drafts
        ],
    )
    _move_on(connection, drafts, now)


def _revision(draft: WaitingDraft, now: int) -> _Json:
    before = next(row for row in draft.quote.revisions if row.revision == draft.made_from)
    return {
        **before._mapping,  # noqa: SLF001  (public in SQLAlchemy, named so as not to be a column)
        **_NO_ANSWER,
        **draft.changed,
        "revision": draft.number,
        "state": "draft",
        "supersedes": draft.made_from,
        # One that waits itself is left out: what is made of is always there.
        "made_from": before.made_from or draft.made_from,
        "created_at": now,
    }


def _move_on(connection: Connection, drafts: Sequence[WaitingDraft], now: int) -> None:
    """Let each quote stand at its new draft, many at once by its number; what is out stays out."""
    by_number: dict[int, list[str]] = {}
    for draft in drafts:
        by_number.setdefault(draft.number, []).append(draft.quote.id)
    for number, ids in by_number.items():
        connection.execute(
            update(QUOTE)
            .where(QUOTE.c.id.in_(ids))
            .values(
                state="draft",
                current_revision=number,
                latest_revision=number,
                draft_revision=number,
                version=QUOTE.c.version + 1,
                updated_at=now,
            )
        )


def _overtake(connection: Connection, drafts: Sequence[WaitingDraft], now: int) -> None:
    """Supersede the drafts that stand, and keep these moves."""
    moves = [(draft.quote.id, move) for draft in drafts for move in overtaken(draft.quote.states)]
    if not moves:
        return
    ids = [quote_id for quote_id, _ in moves]
    steps = _steps(connection, ids)
    held = QUOTE_REVISION.c
    connection.execute(
        update(QUOTE_REVISION)
        .where(held.quote_id.in_(ids), held.state == "draft")
        .values(state="superseded")
    )
    connection.execute(
        insert(QUOTE_MOVE),
        [
            {
                "quote_id": quote_id,
                "step": steps.get(quote_id, 0) + 1,
                "revision": move.number,
                "before": move.before,
                "after": move.after,
                "moved_at": now,
                "after_expiry": False,
            }
            for quote_id, move in moves
        ],
    )


def _steps(connection: Connection, ids: Sequence[str]) -> dict[str, int]:
    """How many moves each quote has seen."""
    held = QUOTE_MOVE.c.quote_id
    counted = select(held, func.count().label("steps")).where(held.in_(ids)).group_by(held)
    return {row.quote_id: row.steps for row in connection.execute(counted)}


def find_waiting(
    connection: Connection, *, limit: int, after: tuple[str, int] = ("", 0)
) -> tuple[tuple[str, int], ...]:
    """At most `limit` drafts whose answers wait, as (quote, revision), those after a place."""
    held = QUOTE_REVISION.c
    beyond = (held.quote_id > after[0]) | ((held.quote_id == after[0]) & (held.revision > after[1]))
    rows = connection.execute(
        select(held.quote_id, held.revision)
        .where(held.made_from.is_not(None), held.quote_id >= after[0], beyond)
        .order_by(held.quote_id, held.revision)
        .limit(limit)
    )
    return tuple((row.quote_id, row.revision) for row in rows)


def find_head(connection: Connection, quote_id: str, revision: int) -> RevisionHead | None:
    """A revision without what may be long, or None."""
    held = QUOTE_REVISION.c
    this = held.quote_id == quote_id, held.revision == revision
    row = connection.execute(select(*HEAD_COLUMNS).where(*this)).one_or_none()
    return None if row is None else revision_head(row)
