"""A lead as it is answered: to whoever makes quotes, never to a website."""

from __future__ import annotations

import json
from typing import Annotated, Any

from msgspec import UNSET, Meta, Struct, UnsetType

from service.operations.answer_figures import EntryId, Instant
from service.operations.saved.saved_quote_answer import instant
from service.storage.leads import Lead

DAY_SECONDS = 24 * 60 * 60


class ConsentAnswer(Struct, frozen=True):
    """What the visitor agreed to."""

    version: str
    text: str


class LeadAnswer(Struct, frozen=True):
    """What a visitor left. `answers` are those to the form of `website`, `shown` is the range or
    the reasons of a visit as he saw them."""

    id: EntryId
    website: EntryId
    received_at: Instant
    erased_at: Annotated[Instant, Meta(description="When it is erased at the latest.")]
    language: str
    form_version: int
    answers: dict[str, str]
    shown: dict[str, Any]
    consent: ConsentAnswer
    name: str | UnsetType = UNSET
    email: str | UnsetType = UNSET
    phone: str | UnsetType = UNSET
    wish: str | UnsetType = UNSET
    photos: tuple[str, ...] = ()
    saved_quote: Annotated[
        EntryId | UnsetType, Meta(description="The saved quote that was made of it.")
    ] = UNSET


def lead_answer(lead: Lead, days: int) -> LeadAnswer:
    """A lead that is kept for so many days."""
    left = json.loads(lead.document)
    return LeadAnswer(
        id=lead.id,
        website=lead.website,
        received_at=instant(lead.received_at),
        erased_at=instant(lead.received_at + days * DAY_SECONDS),
        language=lead.language,
        form_version=lead.form_version,
        answers=json.loads(lead.answers),
        shown=json.loads(lead.shown),
        consent=ConsentAnswer(version=lead.consent_version, text=lead.consent_text),
        name=left.get("name", UNSET),
        email=left.get("email", UNSET),
        phone=left.get("phone", UNSET),
        wish=left.get("wish", UNSET),
        photos=tuple(left.get("photos", ())),
        saved_quote=lead.quote_id or UNSET,
    )
