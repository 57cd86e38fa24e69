"""What became of a link."""

from __future__ import annotations

from service.core.quote_state import State
from service.operations.callers.links.link_request import LinkState
from service.storage.links import Link

OVERTAKEN: tuple[State, ...] = ("superseded", "withdrawn")


def link_state(link: Link, revision: State, now: int) -> LinkState:
    """What became of a link to a revision in some state."""
    if link.ended_at is not None:
        return "ended"
    if revision in OVERTAKEN:
        return "overtaken"
    if now >= link.expires_at:
        return "expired"
    return "answered" if link.answer else "open"
