"""`/v1/leads`: what visitors of websites left."""

from __future__ import annotations

import re
from collections.abc import Mapping

import msgspec
from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import content_response
from service.api.bodies import read_no_body
from service.api.dependencies import get_lead_days, run_stored, run_storing, written_address
from service.api.problems import ParameterError
from service.api.storing import read_call, stored_response
from service.api.v1.leads.address import PREFIX
from service.api.v1.pages import (
    cursor_of,
    link_header,
    read_cursor,
    read_limit,
    read_parameters,
    refuse_parameters,
)
from service.api.v1.saved_quotes.address import quote_url
from service.api.v1.saved_quotes.drafting import drafted
from service.fields import ID_PATTERN
from service.operations.callers.website.lead_answer import lead_answer
from service.operations.callers.website.leads import (
    erase_lead,
    forget_old_leads,
    has_old_leads,
    known_lead,
    page_of_leads,
    quote_document,
    read_lead,
    save_quote_of_lead,
)
from service.operations.idempotent import (
    Outcome,
    StoredOutcome,
    document_fingerprint,
    find_outcome,
    run_once,
)
from service.operations.quoting.quote_answer import encode_answer
from service.operations.saved.saved_quote import known_quote
from service.operations.saved.saved_quote_answer import quote_tag
from service.storage import Connection, Store
from service.storage.leads import Lead, LeadPlace
from service.units import found

_ID = re.compile(ID_PATTERN, re.ASCII)
_PLACE = re.compile(rf"([0-9]{{1,12}})\.({ID_PATTERN})", re.ASCII)


async def list_leads(request: Request) -> Response:
    """Leads, the newest first. Those whose days are over are erased."""
    given = read_parameters(request, ("limit", "cursor"))
    limit, after = read_limit(given), _place(given)
    days = get_lead_days(request)

    def read(store: Store) -> tuple[list[Lead], bool]:
        now = store.now()
        with store.read() as connection:
            found = page_of_leads(connection, now=now, days=days, limit=limit + 1, after=after)
            return found, has_old_leads(connection, now=now, days=days)

    def forget(store: Store) -> None:
        with store.write() as connection:
            forget_old_leads(connection, now=store.now(), days=days)

    leads, old = await run_stored(request, read)
    if old:
        await run_storing(request, forget)
    page, next_page = leads[:limit], None
    if len(leads) > limit:
        path = f"{PREFIX}?limit={limit}&cursor={_cursor(page[-1])}"
        next_page = written_address(request, path)
    items = [lead_answer(lead, days) for lead in page]
    body = msgspec.json.encode({"items": items, "next": next_page})
    return content_response(request, body, headers=link_header(next_page))


async def read_one_lead(request: Request) -> Response:
    """A lead: how a visitor is reached, what he wishes, what he answered and what he was shown."""
    refuse_parameters(request)
    lead_id, days = _lead_id(request), get_lead_days(request)

    def read(store: Store) -> bytes:
        with store.read() as connection:
            return encode_answer(read_lead(connection, lead_id, now=store.now(), days=days))

    return content_response(request, await run_stored(request, read))


async def delete_lead(request: Request) -> Response:
    """Erase a lead. A saved quote that was made of it stays; its customer is erased there."""
    refuse_parameters(request)
    await read_no_body(request)
    lead_id = _lead_id(request)

    def erase(store: Store) -> None:
        with store.write() as connection:
            erase_lead(connection, lead_id)

    await run_storing(request, erase)
    return Response(status_code=204)


async def quote_lead(request: Request) -> Response:
    """Make a saved quote of a lead, a draft: the wall that its answers stand for, with its
    visitor as the customer. Once for each lead."""
    refuse_parameters(request)
    await read_no_body(request)
    lead_id, days = _lead_id(request), get_lead_days(request)
    call = read_call(request, document_fingerprint({}))

    def begin(store: Store) -> StoredOutcome | dict[str, object]:
        if earlier := find_outcome(store, call):
            return earlier
        with store.read() as connection:
            return quote_document(known_lead(connection, lead_id, now=store.now(), days=days))

    begun = await run_stored(request, begin)
    if isinstance(begun, StoredOutcome):
        return stored_response(begun)
    draft = await drafted(request, begun, 0, first=True)

    def run(store: Store) -> StoredOutcome:
        def work(connection: Connection) -> Outcome:
            saved = save_quote_of_lead(connection, lead_id, draft, now=store.now(), days=days)
            tag = quote_tag(known_quote(connection, saved.id))
            headers = {"ETag": tag, "Location": quote_url(saved.id)}
            return Outcome(status=201, body=encode_answer(saved), headers=headers)

        return run_once(store, call, work)

    return stored_response(await run_storing(request, run))


def _lead_id(request: Request) -> str:
    lead_id: str = request.path_params["id"]
    if not _ID.fullmatch(lead_id):
        raise ParameterError("id", f"{found(lead_id)} is not an id of a lead", code="id-invalid")
    return lead_id


def _cursor(last: Lead) -> str:
    """The opaque cursor of the page after a lead."""
    return cursor_of(f"{last.received_at}.{last.id}")


def _place(given: Mapping[str, str]) -> LeadPlace | None:
    """The place that a cursor stands for. Raises ProblemError."""
    place = read_cursor(given, _PLACE)
    return LeadPlace(received_at=int(place[1]), id=place[2]) if place else None
