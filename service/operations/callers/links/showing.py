"""What stands under the secret address of a link, and that it was looked at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from service.core.quote_state import State
from service.documents.tree import Language
from service.operations.callers.links.calendar import Calendar
from service.operations.callers.links.fixed import FixedContent, read_content
from service.operations.callers.links.lifetime import link_state
from service.operations.callers.links.making import CUSTOMERS, secret_digest
from service.operations.callers.links.told import tell
from service.operations.saved.saved_quote import known_quote
from service.storage import Connection
from service.storage.acceptances import Acceptance, find_acceptances
from service.storage.links import Link, find_content, find_link, mark_viewed
from service.storage.saved_quotes import SavedQuote

BY_LINK = "link"
Why = Literal["unknown", "ended", "expired", "overtaken"]


class LinkClosedError(Exception):
    """Nothing is shown under an address, and why; `language` is that of the link, if there was
    one."""

    def __init__(self, why: Why, language: Language | None = None) -> None:
        self.why = why
        self.language = language
        super().__init__(why)


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """What a link shows: content, its SHA-256 and PDF; the quote, the revision's state, and the
    yes that was said by this link."""

    link: Link
    quote: SavedQuote
    state: State
    content: FixedContent
    digest: str
    pdf: bytes
    acceptance: Acceptance | None

    @property
    def can_be_answered(self) -> bool:
        """Whether a customer may say yes or no by it."""
        return self.link.kind == CUSTOMERS and self.state == "issued"


def open_link(connection: Connection, secret: str, now: int, *, lock: bool = False) -> Opened:
    """What a secret opens; with `lock` its quote is held. Raises LinkClosedError."""
    digest = secret_digest(secret)
    link = find_link(connection, digest)
    if link is not None and lock:
        known_quote(connection, link.quote_id, lock=True)
        link = find_link(connection, digest)
    if link is None:
        raise LinkClosedError("unknown")
    quote = known_quote(connection, link.quote_id)
    state = next(held.state for held in quote.revisions if held.number == link.revision)
    _check_open(link, state, now)
    shown = find_content(connection, link.id)
    if shown is None:
        raise LinkClosedError("ended", _language(link))
    said = find_acceptances(connection, link.quote_id)
    return Opened(
        link=link,
        quote=quote,
        state=state,
        content=read_content(shown.content),
        digest=shown.digest,
        pdf=shown.pdf,
        acceptance=next((each for each in said if each.link_id == link.id), None),
    )


def note_view(connection: Connection, link: Link, calendar: Calendar, now: int) -> None:
    """Keep that a link was looked at, and tell the first time of a day."""
    if mark_viewed(connection, link.id, calendar.day(now).isoformat()):
        tell(connection, "quote.viewed", link, by=BY_LINK, now=now)


def _check_open(link: Link, state: State, now: int) -> None:
    found = link_state(link, state, now)
    if found in ("ended", "expired", "overtaken"):
        raise LinkClosedError(found, _language(link))


def _language(link: Link) -> Language:
    return "es" if link.language == "es" else "en"
