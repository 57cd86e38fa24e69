"""The state of a saved quote as it is answered, and how it came there."""

from __future__ import annotations

from typing import Literal

from msgspec import UNSET, Struct, UnsetType

from service.core.quote_state import State, allowed_states
from service.operations.answer_figures import Day, Digest, EntryId, Instant, Money
from service.operations.saved.saved_quote_answer import Number, instant, number_of
from service.storage.acceptances import Acceptance
from service.storage.quote_moves import KeptMove
from service.storage.saved_quotes import SavedQuote


class RevisionStateAnswer(Struct, frozen=True):
    """The state of one revision."""

    revision: Number
    state: State


class MoveAnswer(Struct, frozen=True):
    """One move from state to state, and when it was made: `on`, the day of issue or the one that
    was given, and what else was said of it."""

    revision: Number
    before: State
    after: State
    at: Instant
    on: Day | UnsetType = UNSET
    note: str | UnsetType = UNSET
    reason: str | UnsetType = UNSET
    after_expiry: bool | UnsetType = UNSET


class AcceptanceAnswer(Struct, frozen=True):
    """A customer's yes by a link: the name that was typed, gone once it is erased; the sentence
    that was ticked; the SHA-256 of what was shown; and the total. It is a record of assent: what
    makes a contract is for the law of the place."""

    by: Literal["link"]
    link: EntryId
    revision: Number
    at: Instant
    sentence: str
    content_digest: Digest
    total: Money
    currency: str
    name: str | UnsetType = UNSET


class StateAnswer(Struct, frozen=True):
    """The state of a quote, which is that of `revision`; `allowed` may be set next. `out` is the
    revision that the customer has in hand, `draft` the draft. `acceptances` are told to keys for
    `quotes`."""

    id: EntryId
    state: State
    revision: Number
    allowed: tuple[State, ...]
    revisions: tuple[RevisionStateAnswer, ...]
    history: tuple[MoveAnswer, ...]
    out: Number | UnsetType = UNSET
    draft: Number | UnsetType = UNSET
    acceptances: tuple[AcceptanceAnswer, ...] | UnsetType = UNSET


def state_answer(
    quote: SavedQuote, moves: tuple[KeptMove, ...], acceptances: tuple[Acceptance, ...]
) -> StateAnswer:
    """The state of a quote and how it came there."""
    return StateAnswer(
        id=quote.id,
        state=quote.current.state,
        revision=quote.current.number,
        allowed=allowed_states(quote.revisions),
        out=number_of(quote.out),
        draft=number_of(quote.draft),
        revisions=tuple(
            RevisionStateAnswer(revision=held.number, state=held.state) for held in quote.revisions
        ),
        history=tuple(map(_move, moves)),
        acceptances=tuple(map(_acceptance, acceptances)) or UNSET,
    )


def _acceptance(kept: Acceptance) -> AcceptanceAnswer:
    return AcceptanceAnswer(
        by="link",
        link=kept.link_id,
        revision=kept.revision,
        at=instant(kept.accepted_at),
        sentence=kept.sentence,
        content_digest=kept.content_digest,
        total=kept.total,
        currency=kept.currency,
        name=kept.name or UNSET,
    )


def _move(move: KeptMove) -> MoveAnswer:
    words = move.words
    return MoveAnswer(
        revision=move.revision,
        before=move.before,
        after=move.after,
        at=instant(move.moved_at),
        on=words.on.isoformat() if words.on else UNSET,
        note=words.note or UNSET,
        reason=words.reason or UNSET,
        after_expiry=words.after_expiry or UNSET,
    )
