"""What is told of links: events, in the transaction of the change."""

from __future__ import annotations

from service.core.quote_state import Move
from service.operations.saved.quote_events import moved_event, revision_links
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
        "links": revision_links(link.quote_id, link.revision),
    }
    record(connection, type_, data, by=by, now=now, subject=link.quote_id)


def tell_move(connection: Connection, link: Link, moved: Move, *, by: str, now: int) -> None:
    """Append that a revision came into another state by a link, as any move is told."""
    event = moved_event(link.quote_id, moved)
    data = {**event.data, "link": link.id}
    record(connection, event.type, data, by=by, now=now, subject=event.subject)
