"""`/v1/website/…`: the form, and what its answers come to; what a visitor left is kept."""

from __future__ import annotations

import msgspec
from starlette.requests import Request
from starlette.responses import Response

from service.api.admission.peers import caller_address
from service.api.answers import read_response
from service.api.bodies import JSON, read_json
from service.api.calculating import ranged
from service.api.dependencies import (
    get_caller,
    get_catalog,
    get_lead_days,
    run_storing,
)
from service.api.storing import read_call, stored_response
from service.api.v1.pages import refuse_parameters
from service.api.v1.website.languages import language_headers, read_language
from service.catalog.documents.company import Language
from service.catalog.documents.website import Website
from service.operations.callers.website.form import form
from service.operations.callers.website.lead_request import LeadRequest
from service.operations.callers.website.leads import LeadsFullError, Left, keep_lead
from service.operations.callers.website.price_range import QUOTE
from service.operations.callers.website.range_request import ReadRange, read_range, site_of
from service.operations.idempotent import (
    Outcome,
    StoredOutcome,
    document_fingerprint,
    find_outcome,
    run_once,
)
from service.storage import Connection, Store
from service.storage.idempotency import KeyedCall

_NOT_STORED = {"Cache-Control": "no-store"}


async def read_website_form(request: Request) -> Response:
    """What a website asks its visitors: flat JSON Schemas of the answers and of a lead, their
    layout, and what is taken where nothing is answered.

    A key for a website names its entry of the catalog; without one the only entry is taken.
    """
    refuse_parameters(request)
    site = _site(request)
    language = read_language(request, site.languages)
    return read_response(request, form(site, language), headers=language_headers(language))


async def estimate_price_range(request: Request) -> Response:
    """What the answers to a website's form come to: a range around a rounded price, or why
    somebody has to come and look first.

    Nothing is stored, unless a visitor leaves how he is reached and agrees to that.
    """
    refuse_parameters(request)
    site = _site(request)
    language = read_language(request, site.languages)
    received = await read_json(request)
    call = read_call(request, document_fingerprint(received))
    return await answer_visitor(request, site, language, received, call)


async def answer_visitor(
    request: Request,
    site: Website,
    language: Language,
    received: object,
    call: KeyedCall | None = None,
) -> Response:
    """The answer to what a website sent, in JSON. Raises QuoteFaultsError and what storing
    raises."""
    read = read_range(received, site, get_catalog(request), language)
    if read.lead is None:
        return _response(await ranged(request, read.document), language)
    if call is not None:
        earlier = await run_storing(request, lambda store: find_outcome(store, call))
        if earlier is not None:
            return _stored(earlier, language)
    shown = await ranged(request, read.document)
    left = _left(request, site, language, read, read.lead, shown)
    stored = await run_storing(request, lambda store: _keep(store, request, call, left))
    return _response(shown, language) if stored is None else _stored(stored, language)


def _keep(
    store: Store, request: Request, call: KeyedCall | None, left: Left
) -> StoredOutcome | None:
    """The range with the reference of what was kept; None where no more is kept."""

    def work(connection: Connection) -> Outcome:
        days = get_lead_days(request)
        reference = keep_lead(connection, left, now=store.now(), days=days)
        told = {**msgspec.json.decode(left.shown), "reference": reference}
        return Outcome(status=200, body=msgspec.json.encode(told))

    try:
        return run_once(store, call, work)
    except LeadsFullError:
        return None


def _left(
    request: Request,
    site: Website,
    language: Language,
    read: ReadRange,
    lead: LeadRequest,
    shown: bytes,
) -> Left:
    return Left(
        site=site,
        language=language,
        lead=lead,
        answers=read.document["answers"],
        request=read.document[QUOTE],
        shown=shown,
        address=caller_address(request.scope, request.app.state.trusted_proxies),
    )


def _site(request: Request) -> Website:
    return site_of(get_catalog(request), get_caller(request).website)


def _response(body: bytes, language: Language) -> Response:
    headers = {**language_headers(language), **_NOT_STORED}
    return Response(body, media_type=JSON, headers=headers)


def _stored(stored: StoredOutcome, language: Language) -> Response:
    response = stored_response(stored)
    response.headers.update({**language_headers(language), **_NOT_STORED})
    return response
