"""What is answered about saved quotes. Fields stand as they print."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Annotated

from msgspec import UNSET, Meta, Raw, Struct, UnsetType

from service.core import ENGINE_VERSION
from service.core.quote_state import RevisionState, State
from service.operations.answer_figures import Day, Digest, EntryId, Instant, Money, Ratio
from service.operations.conditions import content_digest, etag_of
from service.operations.quoting.answer import PriceListRef
from service.operations.quoting.measures import plain
from service.storage.quote_lists import ListedQuote
from service.storage.quote_rows import RevisionFacts, RevisionHead, SavedRevision
from service.storage.saved_quotes import SavedQuote

Number = Annotated[int, Meta(ge=1)]
# The types of what is kept, which fit what an older engine answered: service/api/openapi/kept.py.
_KEPT = "#/components/schemas/Kept"
KeptRequest = Annotated[Raw, Meta(extra_json_schema={"$ref": f"{_KEPT}QuoteRequest"})]
KeptAnswer = Annotated[Raw, Meta(extra_json_schema={"$ref": f"{_KEPT}QuoteAnswer"})]


class QuoteFacts(Struct, frozen=True, kw_only=True):
    """What is known of a revision without its answer. A draft of a large re-pricing has no digest
    until its answer is made."""

    currency: str
    total: Money
    subtotal: Money
    direct_cost: Money
    margin: Ratio | None
    complete: bool
    materials_only: bool
    engine_version: str
    catalog_version: Digest
    digest: Digest | UnsetType = UNSET
    price_list: PriceListRef | UnsetType = UNSET
    priced_by: str | UnsetType = UNSET
    title: str | UnsetType = UNSET
    reference: str | UnsetType = UNSET
    issued_on: Day | UnsetType = UNSET
    valid_until: Day | UnsetType = UNSET


class OutAnswer(Struct, frozen=True):
    """The revision that the customer has in hand: issued, accepted or declined."""

    revision: Number
    state: State
    facts: QuoteFacts


class SavedQuoteAnswer(Struct, frozen=True, kw_only=True):
    """A saved quote. `state` and `facts` are those of `revision`, the newest that is neither
    withdrawn nor superseded. `out` is the revision that the customer has in hand, whatever newer
    `draft` stands; `quote`, the request, and `answer` stand in full lists only."""

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
    metadata: dict[str, str] = {}
    notes: str | UnsetType = UNSET
    quote: KeptRequest | UnsetType = UNSET
    answer: KeptAnswer | UnsetType = UNSET


class RevisionItem(Struct, frozen=True, kw_only=True):
    """A revision in the list of a quote's revisions."""

    revision: Number
    state: State
    created_at: Instant
    facts: QuoteFacts
    supersedes: Number | UnsetType = UNSET


class RevisionAnswer(Struct, frozen=True, kw_only=True):
    """A revision, which never changes, of the saved quote `id`: what was asked (`quote`), what was
    answered, by what versions."""

    id: EntryId
    revision: Number
    created_at: Instant
    engine_version: str
    catalog_version: Digest
    digest: Digest
    quote: KeptRequest
    answer: KeptAnswer
    supersedes: Number | UnsetType = UNSET
    price_list: PriceListRef | UnsetType = UNSET
    priced_by: str | UnsetType = UNSET


class MetadataAnswer(Struct, frozen=True):
    """What the caller keeps beside a quote."""

    metadata: dict[str, str]


class NotesAnswer(Struct, frozen=True):
    """Notes on a quote; left out where there are none."""

    notes: str | UnsetType = UNSET


def listed_answer(listed: ListedQuote) -> SavedQuoteAnswer:
    """A quote in a list."""
    return SavedQuoteAnswer(
        id=listed.id,
        number=listed.number,
        state=listed.state,
        revision=listed.current.revision,
        latest_revision=listed.latest_revision,
        created_at=instant(listed.created_at),
        updated_at=instant(listed.updated_at),
        facts=facts_answer(listed.current.facts),
        out=_out(listed.out),
        draft=listed.draft_revision or UNSET,
        metadata=dict(listed.metadata),
        notes=listed.notes or UNSET,
        quote=UNSET if listed.request is None else Raw(listed.request),
        answer=UNSET if listed.answer is None else Raw(listed.answer),
    )


def saved_quote_answer(
    quote: SavedQuote,
    current: RevisionHead,
    out: RevisionHead | None,
    metadata: Mapping[str, str],
) -> SavedQuoteAnswer:
    """A quote, with the facts of its current revision and of the one that is out."""
    return SavedQuoteAnswer(
        id=quote.id,
        number=quote.number,
        state=quote.current.state,
        revision=quote.current.number,
        latest_revision=quote.latest,
        created_at=instant(quote.created_at),
        updated_at=instant(quote.updated_at),
        facts=facts_answer(current.facts),
        out=_out(out),
        draft=number_of(quote.draft),
        metadata=dict(metadata),
        notes=quote.notes or UNSET,
    )


def revision_item(head: RevisionHead) -> RevisionItem:
    """A revision in a list."""
    return RevisionItem(
        revision=head.revision,
        state=head.state,
        created_at=instant(head.created_at),
        supersedes=head.supersedes or UNSET,
        facts=facts_answer(head.facts),
    )


def revision_answer(saved: SavedRevision) -> RevisionAnswer:
    """A revision with what was asked and answered, to the byte."""
    head, facts = saved.head, saved.head.facts
    return RevisionAnswer(
        id=head.quote_id,
        revision=head.revision,
        created_at=instant(head.created_at),
        supersedes=head.supersedes or UNSET,
        engine_version=facts.engine_version,
        catalog_version=facts.catalog_version,
        price_list=_price_list(facts),
        priced_by=facts.priced_by or UNSET,
        digest=facts.digest,
        quote=Raw(saved.request),
        answer=Raw(saved.answer),
    )


def facts_answer(facts: RevisionFacts) -> QuoteFacts:
    """Facts as they print."""
    return QuoteFacts(
        currency=facts.currency,
        total=plain(facts.total),
        subtotal=plain(facts.subtotal),
        direct_cost=plain(facts.cost),
        margin=None if facts.margin is None else plain(facts.margin),
        complete=facts.complete,
        materials_only=facts.materials_only,
        engine_version=facts.engine_version,
        catalog_version=facts.catalog_version,
        digest=facts.digest or UNSET,
        price_list=_price_list(facts),
        priced_by=facts.priced_by or UNSET,
        title=facts.title or UNSET,
        reference=facts.reference or UNSET,
        issued_on=facts.issued_on.isoformat() if facts.issued_on else UNSET,
        valid_until=facts.valid_until.isoformat() if facts.valid_until else UNSET,
    )


def quote_tag(quote: SavedQuote) -> str:
    """The entity tag of a quote and of all that stands beside it: another one whenever any of
    that changes, and for another version of the service, which may answer it otherwise."""
    return etag_of(content_digest(f"{ENGINE_VERSION} {quote.id} {quote.version}".encode()))


def instant(seconds: int) -> str:
    """Seconds since 1970 in UTC as ISO 8601."""
    return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def number_of(held: RevisionState | None) -> int | UnsetType:
    """The number of a revision, where there is one."""
    return UNSET if held is None else held.number


def _out(head: RevisionHead | None) -> OutAnswer | UnsetType:
    if head is None:
        return UNSET
    return OutAnswer(revision=head.revision, state=head.state, facts=facts_answer(head.facts))


def _price_list(facts: RevisionFacts) -> PriceListRef | UnsetType:
    if facts.price_list is None or facts.price_list_revision is None:
        return UNSET
    return PriceListRef(id=facts.price_list, revision=facts.price_list_revision)
