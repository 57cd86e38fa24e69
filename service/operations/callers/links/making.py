"""Make a link to a paper of a revision, list the links, end one."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import date

from service.catalog import Catalog
from service.core.errors import QuoteRefusedError
from service.core.quote_state import State
from service.operations.callers.caller import Caller
from service.operations.callers.links.calendar import Calendar
from service.operations.callers.links.fixed import Fixed, read_content
from service.operations.callers.links.lifetime import OVERTAKEN, link_state
from service.operations.callers.links.link_request import LinkItem, LinkRequest, link_item
from service.operations.callers.links.told import tell
from service.operations.paper.asking import DocumentAsked, Options
from service.operations.paper.kept import kept_document
from service.operations.paper.kinds import KINDS
from service.operations.paper.price_rows import Detail
from service.operations.prices.stored_prices import StoredPrices
from service.operations.saved.quote_moves import QuoteExpiredError
from service.operations.saved.saved_quote import ID_BYTES, known_quote, read_revision
from service.storage import Connection
from service.storage.links import Link, LinkContent, end_links, find_links, insert_link
from service.storage.quote_rows import RevisionHead

# 256 bits: nobody guesses one of them.
SECRET_BYTES = 32
CUSTOMERS = "customer_quote"
# How far a customer is told the price where nobody says.
DETAIL: Detail = "groups"


class LinkRefusedError(QuoteRefusedError):
    """The revision isn't one that such a link may show."""

    code = "link-not-allowed"


class LinkUnknownError(QuoteRefusedError):
    """The revision has no such link."""

    code = "unknown-link"

    def __init__(self, link_id: str) -> None:
        super().__init__(f"The revision has no link {link_id[:64]!r}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkAsked:
    """A link that is asked for: of which quote and revision, and by whom."""

    quote_id: str
    revision: str
    request: LinkRequest
    caller: Caller


def ask_paper(
    connection: Connection, catalog: Catalog, stored: StoredPrices, asked: LinkAsked
) -> tuple[DocumentAsked, float]:
    """The paper that a link is to show, and what its quote costs, in ms.

    Raises QuoteUnknownError, RevisionUnknownError, LinkRefusedError, and QuoteFaultsError for a
    request that can't be laid out today.
    """
    head = read_revision(connection, asked.quote_id, asked.revision).head
    _check(head, asked.request.kind)
    options = Options(
        company=asked.request.company,
        language=asked.request.language,
        paper=asked.request.paper,
        detail=asked.request.detail or DETAIL,
        supplier=asked.request.supplier,
    )
    place = (asked.quote_id, str(head.revision))
    kind = asked.request.kind
    wanted = DocumentAsked(
        kind=kind, form="html", options=options, for_field=KINDS[kind].scope == "field"
    )
    return kept_document(connection, catalog, stored, place, wanted)


def new_secret() -> str:
    """A secret that only the address of a link has."""
    return secrets.token_urlsafe(SECRET_BYTES)


def secret_digest(secret: str) -> str:
    """The SHA-256 by which a secret is known."""
    return hashlib.sha256(secret.encode()).hexdigest()


def keep_link(
    connection: Connection,
    asked: LinkAsked,
    fixed: tuple[int, Fixed],
    secret: str,
    calendar: Calendar,
    now: int,
) -> Link:
    """Keep a link to a revision and what was fixed of it (`fixed`: the number, and the paper).

    Raises QuoteUnknownError, LinkRefusedError and QuoteExpiredError: the quote may have moved on.
    """
    number, shown = fixed
    known_quote(connection, asked.quote_id, lock=True)
    head = read_revision(connection, asked.quote_id, str(number)).head
    _check(head, asked.request.kind)
    until = head.facts.valid_until if asked.request.kind == CUSTOMERS else None
    _check_holds(number, until, calendar.day(now))
    link = _link(asked, number, shown, (now, calendar.expiry(now, until)))
    digest = hashlib.sha256(shown.content).hexdigest()
    content = LinkContent(content=shown.content, digest=digest, pdf=shown.pdf)
    insert_link(connection, link, secret_digest(secret), content)
    tell(connection, "link.made", link, by=asked.caller.by, now=now)
    return link


def list_links(
    connection: Connection, quote_id: str, revision: str, now: int
) -> tuple[LinkItem, ...]:
    """The links of a revision. Raises QuoteUnknownError, RevisionUnknownError."""
    head = read_revision(connection, quote_id, revision).head
    return tuple(
        link_item(link, link_state(link, head.state, now))
        for link in find_links(connection, quote_id, head.revision)
    )


def end_link(
    connection: Connection, place: tuple[str, str], link_id: str, caller: Caller, now: int
) -> None:
    """Close a link of a revision (`place`: id and number); one that is closed stays so.

    Raises QuoteUnknownError, RevisionUnknownError, LinkUnknownError.
    """
    quote_id, revision = place
    known_quote(connection, quote_id, lock=True)
    number = read_revision(connection, quote_id, revision).head.revision
    found = {link.id: link for link in find_links(connection, quote_id, number)}
    if link_id not in found:
        raise LinkUnknownError(link_id)
    end_open(connection, [found[link_id]], by=caller.by, now=now)


def end_open(connection: Connection, links: list[Link], *, by: str, now: int) -> None:
    """Close those of some links that are open, and tell it."""
    ending = [link for link in links if link.ended_at is None]
    end_links(connection, [link.id for link in ending], now)
    for link in ending:
        tell(connection, "link.ended", link, by=by, now=now)


def _check(head: RevisionHead, kind: str) -> None:
    state: State = head.state
    if kind == CUSTOMERS and state != "issued":
        right = "issue it first" if state == "draft" else "issue another one"
        raise LinkRefusedError(
            f"A customer is shown a revision that is issued; revision {head.revision} is {state}: "
            f"{right}."
        )
    if state in OVERTAKEN:
        raise LinkRefusedError(
            f"Revision {head.revision} is {state}: nobody is to work by it. Take the latest one."
        )


def _check_holds(number: int, until: date | None, day: date) -> None:
    if until is not None and day > until:
        raise QuoteExpiredError(number, until, day, "Make a revision with today's issued_on.")


def _link(asked: LinkAsked, number: int, shown: Fixed, times: tuple[int, int]) -> Link:
    made_at, expires_at = times
    content, request = read_content(shown.content), asked.request
    return Link(
        id=f"l{made_at:012d}_{secrets.token_hex(ID_BYTES)}",
        quote_id=asked.quote_id,
        revision=number,
        kind=request.kind,
        company=request.company,
        language=content.language,
        paper=content.tree["paper"],
        detail=(request.detail or DETAIL) if request.kind == CUSTOMERS else None,
        supplier=request.supplier,
        made_at=made_at,
        made_by=asked.caller.by,
        expires_at=expires_at,
    )
