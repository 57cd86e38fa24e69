"""Saved quotes for who keeps prices: whom they are for, and what was noted, is not said."""

from __future__ import annotations

from msgspec import UNSET, Struct, UnsetType

from service.core.quote_state import State
from service.operations.answer_figures import EntryId, Instant
from service.operations.saved.saved_quote_answer import (
    KeptAnswer,
    KeptRequest,
    Number,
    OutAnswer,
    QuoteFacts,
    SavedQuoteAnswer,
    listed_answer,
)
from service.storage.quote_lists import ListedQuote


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


def unnamed(answer: SavedQuoteAnswer) -> UnnamedQuoteAnswer:
    """What of a quote's answer names nobody."""
    said = UnnamedQuoteAnswer.__struct_fields__
    return UnnamedQuoteAnswer(**{name: getattr(answer, name) for name in said})


def unnamed_listed(listed: ListedQuote) -> UnnamedQuoteAnswer:
    """A quote in a list."""
    return unnamed(listed_answer(listed))
