"""`/v1/saved-quotes/{id}/revisions/{revision}/links`: papers under a secret address."""

from __future__ import annotations

import re

import msgspec
from msgspec import UNSET
from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import content_response
from service.api.bodies import read_json, read_no_body
from service.api.calculating import while_connected
from service.api.dependencies import (
    get_calendar,
    get_caller,
    get_catalog,
    get_door,
    get_stored_prices,
    public_address,
    run_stored,
    run_storing,
)
from service.api.operation import Parameter
from service.api.parameters import ID_SCHEMA
from service.api.problems import ParameterError, ProblemError
from service.api.storing import read_call, stored_response
from service.api.v1.documents.made import SETTING_MS
from service.api.v1.pages import link_header, read_page, refuse_parameters
from service.api.v1.saved_quotes.address import read_id, read_revision_number
from service.core.errors import Fault, QuoteFaultsError
from service.fields import ID_PATTERN
from service.operations.callers.links import making
from service.operations.callers.links.fixed import Fixed
from service.operations.callers.links.late_fixing import fix_document
from service.operations.callers.links.link_request import LinkItem, LinkMadeAnswer, LinkRequest
from service.operations.callers.links.making import LinkAsked
from service.operations.idempotent import (
    Outcome,
    StoredOutcome,
    document_fingerprint,
    find_outcome,
    run_once,
)
from service.operations.paper.asking import DocumentAsked, NotMade
from service.operations.quoting.quote_answer import encode_answer
from service.operations.ruled import read_document
from service.operations.saved.saved_quote_answer import instant
from service.storage import Connection, Store
from service.storage.idempotency import KeyedCall
from service.storage.links import Link
from service.units import found

PAGES = "/q"
LINK_ID = Parameter(
    name="link_id",
    within="path",
    description="The link's id.",
    schema=ID_SCHEMA,
    component="LinkId",
    required=True,
)


async def make_link(request: Request) -> Response:
    """Make an address under which whoever has it sees a paper of a revision, without a key.

    What it shows is fixed now. A customer's quote is shown of an issued, complete revision, until
    its validity ends, and can be accepted or declined there; other papers are shown for
    `SERVICE_LINK_DAYS` days. The address is told once: a repeated call doesn't tell it.
    """
    refuse_parameters(request)
    document = await read_json(request)
    call = read_call(request, document_fingerprint(document))
    known = await run_storing(request, lambda store: find_outcome(store, call)) if call else None
    if known is not None:
        return stored_response(known)
    asked = LinkAsked(
        quote_id=read_id(request),
        revision=read_revision_number(request),
        request=read_document(LinkRequest, document, get_catalog(request)),
        caller=get_caller(request),
    )
    number, fixed = await _fixed(request, asked)
    return await _kept(request, call, asked, (number, fixed))


async def list_links(request: Request) -> Response:
    """The links of a revision, whatever became of them; the addresses were told once."""
    quote_id, revision = read_id(request), read_revision_number(request)

    def read(store: Store) -> tuple[LinkItem, ...]:
        with store.read() as connection:
            return making.list_links(connection, quote_id, revision, store.now())

    links = {link.id: link for link in await run_stored(request, read)}
    page, next_page = read_page(request, tuple(links))
    body = msgspec.json.encode({"items": [links[id_] for id_ in page], "next": next_page})
    return content_response(request, body, headers=link_header(next_page))


async def end_link(request: Request) -> Response:
    """Close a link: from now on its address says so, and shows nothing."""
    refuse_parameters(request)
    await read_no_body(request)
    place, link_id = (read_id(request), read_revision_number(request)), _link_id(request)
    caller = get_caller(request)

    def end(store: Store) -> None:
        with store.write() as connection:
            making.end_link(connection, place, link_id, caller, store.now())

    await run_storing(request, end)
    return Response(status_code=204)


async def _fixed(request: Request, asked: LinkAsked) -> tuple[int, Fixed]:
    """The number of the revision, and its paper, made by a process that calculates."""
    catalog, stored = get_catalog(request), get_stored_prices(request)

    def read(store: Store) -> tuple[DocumentAsked, float]:
        with store.read() as connection:
            return making.ask_paper(connection, catalog, stored, asked)

    paper, cost_ms = await run_stored(request, read)
    running = get_door(request).run(fix_document, catalog, paper, cost_ms + SETTING_MS)
    fixed = await while_connected(request, running)
    if isinstance(fixed, NotMade):
        raise _refused(fixed)
    number = paper.kept.revision if paper.kept is not None else 0
    return number, fixed


async def _kept(
    request: Request, call: KeyedCall | None, asked: LinkAsked, fixed: tuple[int, Fixed]
) -> Response:
    """Keep the link, and answer with its address. What is kept of the answer has no secret."""
    calendar, secret = get_calendar(request), making.new_secret()
    url = f"{public_address(request)}{PAGES}/{secret}"

    def keep(store: Store) -> StoredOutcome:
        def work(connection: Connection) -> Outcome:
            link = making.keep_link(connection, asked, fixed, secret, calendar, store.now())
            told, kept = encode_answer(_answer(link, url)), encode_answer(_answer(link))
            return Outcome(status=201, body=told, kept_body=kept)

        return find_outcome(store, call) or run_once(store, call, work)

    return stored_response(await run_storing(request, keep))


def _answer(link: Link, url: str = "") -> LinkMadeAnswer:
    """A link with its address, or without it where that was told before."""
    return LinkMadeAnswer(
        id=link.id,
        expires_at=instant(link.expires_at),
        url=url or UNSET,
        secret_shown=UNSET if url else True,
    )


def _refused(made: NotMade) -> ProblemError | QuoteFaultsError:
    """Why a paper can't be shown: by a field of the request, or by the quote."""
    if made.option:
        fault = Fault(
            code=made.code, at=(made.option,), message=made.message, hint=made.hint or None
        )
        return QuoteFaultsError([fault])
    return ProblemError(made.code, f"{made.message[:1].upper()}{made.message[1:]}.")


def _link_id(request: Request) -> str:
    link_id: str = request.path_params["link_id"]
    if not re.fullmatch(ID_PATTERN, link_id, re.ASCII):
        message = f"{found(link_id)} is not an id of a link"
        raise ParameterError("link_id", message, "GET of the links lists them", code="id-invalid")
    return link_id
