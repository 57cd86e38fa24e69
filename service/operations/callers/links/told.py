"""What is told of links: events, in the transaction of the change."""

from __future__ import annotations

from service.core.quote_state import State
from service.storage import Connection
from service.storage.events import EventType, record
from service.storage.links import Link


def tell(connection: Connection, type_: EventType, link: Link, *, by: str, now: int) -> None:
    """Append an event about a link."""
    data = {
        "quote": link.quote_id,
        "revision": link.revision,
        "link": link.id,
        "kind": link.kind,
    }
    record(connection, type_, data, by=by, now=now, subject=link.quote_id)


def tell_move(connection: Connection, link: Link, state: State, *, by: str, now: int) -> None:
    """Append that a quote came into a state by a link."""
    data = {"quote": link.quote_id, "revision": link.revision, "state": state, "link": link.id}
    record(connection, "quote.state_changed", data, by=by, now=now, subject=link.quote_id)
