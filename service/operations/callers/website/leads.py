"""Leads: kept where a visitor agreed to it, read by whoever makes quotes, erased in time."""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from service.catalog.documents.company import Language
from service.catalog.documents.website import Website
from service.core.errors import QuoteRefusedError
from service.operations.callers.website.lead_answer import DAY_SECONDS, LeadAnswer, lead_answer
from service.operations.callers.website.lead_request import LeadRequest
from service.operations.saved.saved_quote import Draft, save_quote
from service.operations.saved.saved_quote_answer import SavedQuoteAnswer
from service.storage import Connection
from service.storage.events import record
from service.storage.leads import (
    Lead,
    LeadPlace,
    count_leads,
    delete_lead,
    find_lead,
    forget_leads,
    forget_networks,
    has_older,
    insert_lead,
    list_leads,
    set_quote,
)
from service.storage.turns import Turn, take_turn

BY: Final = "website"
MOST_AN_HOUR: Final = 5
MOST_A_DAY: Final = 200
HOUR_SECONDS: Final = 60 * 60
# Letters and digits that nobody mixes up on the telephone.
_SIGNS: Final = "23456789abcdefghjkmnpqrstuvwxyz"
_SIGNS_OF_AN_ID: Final = 10


class LeadUnknownError(QuoteRefusedError):
    """There is no lead with this id, or it was erased."""

    code = "unknown-lead"

    def __init__(self, lead_id: str) -> None:
        super().__init__(f"There is no lead {lead_id[:64]!r}; leads are erased in time.")


class LeadQuotedError(QuoteRefusedError):
    """A quote was made of the lead already."""

    code = "lead-quoted"

    def __init__(self, quote_id: str) -> None:
        super().__init__(
            f"A quote was made of this lead already: it stands at /v1/saved-quotes/{quote_id}."
        )


class LeadsFullError(Exception):
    """So many came from one address in an hour, or over all in a day, that no more are kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What a visitor left, with what he answered and was shown, as JSON. `address` is the one that
    calls are counted by."""

    site: Website
    language: Language
    lead: LeadRequest
    answers: Mapping[str, str]
    request: Mapping[str, Any]
    shown: bytes
    address: str


def keep_lead(connection: Connection, left: Left, *, now: int, days: int) -> str:
    """Keep what a visitor left, and give its id. Raises LeadsFullError; then nothing is kept."""
    take_turn(connection, Turn.LEADS)
    forget_old_leads(connection, now=now, days=days)
    forget_networks(connection, before=now - HOUR_SECONDS)
    here = count_leads(connection, since=now - HOUR_SECONDS, network=left.address)
    if here >= MOST_AN_HOUR or count_leads(connection, since=now - DAY_SECONDS) >= MOST_A_DAY:
        raise LeadsFullError
    lead = _lead(left, now)
    insert_lead(connection, lead, left.address)
    links = {"lead": f"/v1/leads/{lead.id}"}
    data = {"id": lead.id, "website": lead.website, "links": links}
    record(connection, "lead.received", data, by=BY, now=now, subject=lead.id)
    return lead.id


def read_lead(connection: Connection, lead_id: str, *, now: int, days: int) -> LeadAnswer:
    """A lead. Raises LeadUnknownError."""
    return lead_answer(known_lead(connection, lead_id, now=now, days=days), days)


def has_old_leads(connection: Connection, *, now: int, days: int) -> bool:
    """Whether there are leads that are kept no longer."""
    return has_older(connection, than=now - days * DAY_SECONDS)


def forget_old_leads(connection: Connection, *, now: int, days: int) -> None:
    """Erase what is kept no longer."""
    forget_leads(connection, before=now - days * DAY_SECONDS)


def page_of_leads(
    connection: Connection, *, now: int, days: int, limit: int, after: LeadPlace | None
) -> list[Lead]:
    """Leads, the newest first."""
    return list_leads(connection, since=now - days * DAY_SECONDS, limit=limit, after=after)


def known_lead(connection: Connection, lead_id: str, *, now: int, days: int) -> Lead:
    """A lead as it is kept. Raises LeadUnknownError."""
    lead = find_lead(connection, lead_id, since=now - days * DAY_SECONDS)
    if lead is None:
        raise LeadUnknownError(lead_id)
    return lead


def erase_lead(connection: Connection, lead_id: str) -> None:
    """Erase a lead. Raises LeadUnknownError."""
    if not delete_lead(connection, lead_id):
        raise LeadUnknownError(lead_id)


def quote_document(lead: Lead) -> dict[str, Any]:
    """What is asked for where a saved quote is made of a lead: the request that its answers stand
    for, whom it is for, and what he wishes as notes."""
    left = json.loads(lead.document)
    customer = {key: left[key] for key in ("name", "email", "phone") if key in left}
    notes = "\n".join(filter(None, (left.get("wish", ""), *left.get("photos", ()))))
    return {
        "quote": json.loads(lead.request),
        "customer": customer,
        "metadata": {"lead": lead.id},
        **({"notes": notes} if notes else {}),
    }


def save_quote_of_lead(
    connection: Connection, lead_id: str, draft: Draft, *, now: int, days: int
) -> SavedQuoteAnswer:
    """Keep the draft that was made of a lead. Raises LeadUnknownError, LeadQuotedError."""
    take_turn(connection, Turn.LEADS)
    lead = known_lead(connection, lead_id, now=now, days=days)
    if lead.quote_id is not None:
        raise LeadQuotedError(lead.quote_id)
    saved = save_quote(connection, draft, now)
    set_quote(connection, lead_id, saved.id)
    return saved


def _lead(left: Left, now: int) -> Lead:
    consent = left.site.consent
    if consent is None:
        raise ValueError(f"{left.site.id} takes no leads")
    return Lead(
        id="".join(secrets.choice(_SIGNS) for _ in range(_SIGNS_OF_AN_ID)),
        website=left.site.id,
        received_at=now,
        language=left.language,
        form_version=left.site.form_version,
        document=_json(_document(left.lead)),
        answers=_json(left.answers),
        request=_json(left.request),
        shown=left.shown,
        consent_version=consent.version,
        consent_text=consent.text[left.language],
    )


def _document(lead: LeadRequest) -> dict[str, Any]:
    """What was left, without what wasn't."""
    said = {"name": lead.name, "email": lead.email, "phone": lead.phone, "wish": lead.wish}
    told: dict[str, Any] = {key: value for key, value in said.items() if value is not None}
    return {**told, **({"photos": list(lead.photos)} if lead.photos else {})}


def _json(document: Mapping[str, Any]) -> bytes:
    return json.dumps(dict(document), ensure_ascii=False, separators=(",", ":")).encode()
