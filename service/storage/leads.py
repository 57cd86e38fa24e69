"""What visitors of websites left: kept, counted, listed, erased. Moments are seconds, UTC."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, func, insert, or_, select, update

from service.storage.lead_tables import LEAD


@dataclass(frozen=True, slots=True, kw_only=True)
class Lead:
    """What one visitor left. Documents are JSON."""

    id: str
    website: str
    received_at: int
    language: str
    form_version: int
    document: bytes
    answers: bytes
    request: bytes
    shown: bytes
    consent_version: str
    consent_text: str
    quote_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadPlace:
    """The place after which a page begins: the last lead of the page before."""

    received_at: int
    id: str


_COLUMNS = tuple(LEAD.c[name] for name in Lead.__dataclass_fields__)


def insert_lead(connection: Connection, lead: Lead, network: str) -> None:
    """Keep a lead, and for a while the network that it came from."""
    values = {name: getattr(lead, name) for name in Lead.__dataclass_fields__}
    connection.execute(insert(LEAD).values(**values, network=network))


def count_leads(connection: Connection, *, since: int, network: str | None = None) -> int:
    """How many came after a moment; of one network where it is given."""
    chosen = select(func.count()).where(LEAD.c.received_at > since)
    if network is not None:
        chosen = chosen.where(LEAD.c.network == network)
    return connection.execute(chosen).scalar_one()


def find_lead(connection: Connection, lead_id: str, *, since: int) -> Lead | None:
    """A lead that came after a moment."""
    chosen = select(*_COLUMNS).where(LEAD.c.id == lead_id, LEAD.c.received_at > since)
    row = connection.execute(chosen).one_or_none()
    return None if row is None else _lead(row)


def list_leads(
    connection: Connection, *, since: int, limit: int, after: LeadPlace | None
) -> list[Lead]:
    """Leads that came after a moment, the newest first, from a place on."""
    chosen = select(*_COLUMNS).where(LEAD.c.received_at > since)
    if after is not None:
        earlier = LEAD.c.received_at < after.received_at
        same = (LEAD.c.received_at == after.received_at) & (LEAD.c.id < after.id)
        chosen = chosen.where(or_(earlier, same))
    ordered = chosen.order_by(LEAD.c.received_at.desc(), LEAD.c.id.desc()).limit(limit)
    return [_lead(row) for row in connection.execute(ordered)]


def has_older(connection: Connection, *, than: int) -> bool:
    """Whether a lead came at a moment or before it."""
    chosen = select(LEAD.c.id).where(LEAD.c.received_at <= than).limit(1)
    return connection.execute(chosen).first() is not None


def delete_lead(connection: Connection, lead_id: str) -> bool:
    """Erase a lead; False where there is none."""
    done = delete(LEAD).where(LEAD.c.id == lead_id).returning(LEAD.c.id)
    return connection.execute(done).first() is not None


def delete_leads_of_quote(connection: Connection, quote_id: str) -> int:
    """Erase the leads that a quote was made of; how many it were."""
    return connection.execute(delete(LEAD).where(LEAD.c.quote_id == quote_id)).rowcount


def forget_leads(connection: Connection, *, before: int) -> None:
    """Erase what came at a moment or before it."""
    connection.execute(delete(LEAD).where(LEAD.c.received_at <= before))


def forget_networks(connection: Connection, *, before: int) -> None:
    """Forget where leads came from that came at a moment or before it."""
    old = update(LEAD).where(LEAD.c.received_at <= before, LEAD.c.network.is_not(None))
    connection.execute(old.values(network=None))


def set_quote(connection: Connection, lead_id: str, quote_id: str) -> None:
    """Write down the quote that was made of a lead."""
    connection.execute(update(LEAD).where(LEAD.c.id == lead_id).values(quote_id=quote_id))


def _lead(row: Sequence[Any]) -> Lead:
    return Lead(**dict(zip(Lead.__dataclass_fields__, row, strict=True)))
