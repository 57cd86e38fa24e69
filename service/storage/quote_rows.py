"""A revision of a saved quote as a row, and back."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from sqlalchemy import Row

from service.core.quote_state import State
from service.core.rounding import minor_units
from service.storage.packed_bytes import packed
from service.storage.quote_tables import QUOTE_REVISION

# The largest amount, in minor units, that both databases count.
MOST_MINOR = 2**63 - 1
MARGIN_PLACES = 4
# All but what may be long: lists read thousands of rows.
HEAD_COLUMNS = tuple(
    column for column in QUOTE_REVISION.c if column.name not in {"request", "answer", "pricing"}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionFacts:
    """What is known of a quote without reading its answer. Amounts have the currency's places
    (`minor_places`); `cost` is the direct cost. `terms` are those of the catalog by which it was
    priced, `terms_digest` what they said."""

    engine_version: str
    catalog_version: str
    digest: str
    currency: str
    minor_places: int
    total: Decimal
    subtotal: Decimal
    cost: Decimal
    complete: bool
    materials_only: bool
    margin: Decimal | None = None
    title: str | None = None
    reference: str | None = None
    issued_on: date | None = None
    valid_until: date | None = None
    price_list: str | None = None
    price_list_revision: int | None = None
    priced_by: str | None = None
    terms: str | None = None
    terms_digest: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewRevision:
    """A quote as it is to be kept: request and answer byte for byte, and what re-pricing reads.

    `columns` are made with it, the answer packed and digested, so that this is not done while a
    transaction keeps other writers waiting.
    """

    facts: RevisionFacts
    request: bytes
    answer: bytes
    pricing: bytes | None = None
    columns: Mapping[str, object] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Make the columns."""
        object.__setattr__(self, "columns", MappingProxyType(_columns(self)))


class AnswersWaitingError(Exception):
    """Answers that are read have not been made: those of some (quote, revision)."""

    def __init__(self, places: Sequence[tuple[str, int]]) -> None:
        self.places = tuple(places)
        super().__init__(f"{len(self.places)} answers have not been made")


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionHead:
    """A revision's place in its quote, and its facts. `created_at` in seconds, UTC. `made_from` is
    the revision of which its answer is to be made, while that waits; then its digest is empty."""

    quote_id: str
    revision: int
    state: State
    supersedes: int | None
    created_at: int
    facts: RevisionFacts
    made_from: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedRevision:
    """A revision as it is kept."""

    head: RevisionHead
    request: bytes
    answer: bytes
    pricing: bytes | None

    @property
    def may_be_dated(self) -> bool:
        """Whether it gets other dates yet: a draft that a re-pricing made, when it is issued."""
        return self.head.state == "draft" and self.head.facts.priced_by is not None


def revision_head(row: Row[Any]) -> RevisionHead:
    """A row with the columns `HEAD_COLUMNS` as what it means."""
    step = Decimal(1).scaleb(-row.minor_places)
    return RevisionHead(
        quote_id=row.quote_id,
        revision=row.revision,
        state=row.state,
        supersedes=row.supersedes,
        created_at=row.created_at,
        made_from=row.made_from,
        facts=RevisionFacts(
            engine_version=row.engine_version,
            catalog_version=row.catalog_version,
            digest=row.digest,
            currency=row.currency,
            minor_places=row.minor_places,
            total=row.total_minor * step,
            subtotal=row.subtotal_minor * step,
            cost=row.cost_minor * step,
            complete=bool(row.complete),
            materials_only=bool(row.materials_only),
            margin=None if row.margin is None else Decimal(row.margin).scaleb(-MARGIN_PLACES),
            title=row.title,
            reference=row.reference,
            issued_on=_date(row.issued_on),
            valid_until=_date(row.valid_until),
            price_list=row.price_list,
            price_list_revision=row.price_list_revision,
            priced_by=row.priced_by,
            terms=row.terms,
            terms_digest=row.terms_digest,
        ),
    )


def check_made(rows: Sequence[Row[Any]]) -> None:
    """Refuse rows whose answers have not been made. Raises AnswersWaitingError."""
    waiting = [(row.quote_id, row.revision) for row in rows if row.made_from is not None]
    if waiting:
        raise AnswersWaitingError(waiting)


def saved_revision(row: Row[Any]) -> SavedRevision:
    """A row with all columns as what it means. Raises AnswersWaitingError."""
    check_made([row])
    return SavedRevision(
        head=revision_head(row),
        request=bytes(row.request),
        answer=bytes(row.answer),
        pricing=None if row.pricing is None else bytes(row.pricing),
    )


def _columns(kept: NewRevision) -> dict[str, object]:
    """What is kept as columns; its place in a quote is not among them."""
    facts = kept.facts
    return {
        "request": kept.request,
        "answer": packed(kept.answer),
        "answer_digest": hashlib.sha256(kept.answer).hexdigest(),
        "pricing": kept.pricing,
        "engine_version": facts.engine_version,
        "catalog_version": facts.catalog_version,
        "digest": facts.digest,
        "currency": facts.currency,
        "minor_places": facts.minor_places,
        "total_minor": minor_units(facts.total, facts.minor_places),
        "subtotal_minor": minor_units(facts.subtotal, facts.minor_places),
        "cost_minor": minor_units(facts.cost, facts.minor_places),
        "margin": None if facts.margin is None else minor_units(facts.margin, MARGIN_PLACES),
        "complete": 1 if facts.complete else 0,
        "materials_only": 1 if facts.materials_only else 0,
        "title": facts.title,
        "title_folded": (facts.title or "").casefold(),
        "reference": facts.reference,
        "reference_folded": None if facts.reference is None else facts.reference.casefold(),
        "issued_on": iso(facts.issued_on),
        "valid_until": iso(facts.valid_until),
        "price_list": facts.price_list,
        "price_list_revision": facts.price_list_revision,
        "priced_by": facts.priced_by,
        "terms": facts.terms,
        "terms_digest": facts.terms_digest,
    }


def iso(day: date | None) -> str | None:
    """A day as it is kept; such texts sort as the days do."""
    return None if day is None else day.isoformat()


def _date(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)
