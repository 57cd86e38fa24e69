"""Saved quotes for who keeps prices: whom they are for, and what was noted, is not said."""

from __future__ import annotations

from msgspec import UNSET, Raw, Struct, UnsetType

from service.core.quote_state import State
from service.operations.answer_figures import EntryId, Instant
from service.operations.saved.saved_quote_answer import (
    KeptAnswer,
    KeptRequest,
    Number,
    OutAnswer,
    QuoteFacts,
    facts_answer,
    instant,
    number_of,
    out_answer,
)
from service.storage.quote_lists import ListedQuote
from service.storage.quote_rows import RevisionHead
from service.storage.saved_quotes import SavedQuote


class UnnamedQuoteAnswer(Struct, frozen=True, kw_only=True):
    """A saved quote as in `SavedQuoteAnswer`, without what may name a customer."""

    id: EntryId
    number: Number
    state: State
    revision: Number
    latest_revision: Number
    created_at: Instant
    updated_at: Instant
    facts: QuoteFacts
    out: OutAnswer | UnsetType = UNSET
    draft: Number | UnsetType = UNSET
    quote: KeptRequest | UnsetType = UNSET
    answer: KeptAnswer | UnsetType = UNSET


def unnamed_listed(listed: ListedQuote) -> UnnamedQuoteAnswer:
    """A quote in a list."""
    return UnnamedQuoteAnswer(
        id=listed.id,
        number=listed.number,
        state=listed.state,
        revision=listed.current.revision,
        latest_revision=listed.latest_revision,
        created_at=instant(listed.created_at),
        updated_at=instant(listed.updated_at),
        facts=facts_answer(listed.current.facts),
        out=out_answer(listed.out),
        draft=listed.draft_revision or UNSET,
        quote=UNSET if listed.request is None else Raw(listed.request),
        answer=UNSET if listed.answer is None else Raw(listed.answer),
    )


def unnamed_answer(
    quote: SavedQuote, current: RevisionHead, out: RevisionHead | None
) -> UnnamedQuoteAnswer:
    """A quote, with the facts of its current revision and of the one that is out."""
    return UnnamedQuoteAnswer(
        id=quote.id,
        number=quote.number,
        state=quote.current.state,
        revision=quote.current.number,
        latest_revision=quote.latest,
        created_at=instant(quote.created_at),
        updated_at=instant(quote.updated_at),
        facts=facts_answer(current.facts),
        out=out_answer(out),
        draft=number_of(quote.draft),
    )
