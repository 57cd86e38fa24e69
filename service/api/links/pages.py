"""`/q/{token}`: a paper for whoever has its address, its PDF, and a customer's answer.

The pages are made by what sets documents, which is loaded with the first of them.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from typing import TYPE_CHECKING, Literal, get_args

from starlette.requests import Request
from starlette.responses import Response

from service.api.dependencies import get_calendar, get_catalog, run_stored, run_storing
from service.api.form_body import read_form
from service.api.problems import ProblemError
from service.api.v1.documents.parameters import disposition
from service.api.v1.website.languages import read_language
from service.documents.tree import Language
from service.operations.callers.links.showing import LinkClosedError, Opened, note_view, open_link
from service.storage import StorageError, Store

if TYPE_CHECKING:
    from service.documents.forms.html import Page
    from service.operations.callers.links.answering import Said

FIELDS = ("answer", "name", "agrees", "mark")
_HEADERS = {"Cache-Control": "private, no-store", "X-Robots-Tag": "noindex"}
_GONE, _NOT_FOUND = 410, 404


async def read_link(request: Request) -> Response:
    """The paper as a web page, with its drawings, and what a customer may answer."""
    from service.operations.callers.links import pages  # noqa: PLC0415

    secret, calendar = _secret(request), get_calendar(request)

    def shown(store: Store) -> tuple[Opened, Page]:
        with store.read() as connection:
            opened = open_link(connection, secret, store.now())
        return opened, pages.paper_page(opened, secret, calendar, store.now())

    try:
        opened, page = await run_stored(request, shown)
    except LinkClosedError as error:
        return _closed(request, error)
    await _viewed(request, opened)
    return _page(page)


async def read_link_pdf(request: Request) -> Response:
    """The paper as PDF."""
    try:
        opened = await run_stored(request, _opening(request))
    except LinkClosedError as error:
        return _closed(request, error)
    name = disposition(f"{opened.content.name}.pdf", "pdf")
    headers = {**_HEADERS, "Content-Disposition": name}
    return Response(opened.pdf, media_type="application/pdf", headers=headers)


async def read_link_receipt(request: Request) -> Response:
    """What a customer said yes to by this link, and when."""
    from service.operations.callers.links import plain_pages  # noqa: PLC0415

    try:
        opened = await run_stored(request, _opening(request))
        if opened.acceptance is None:
            raise LinkClosedError("unknown", opened.content.language)
    except LinkClosedError as error:
        return _closed(request, error)
    said, calendar = opened.acceptance, get_calendar(request)
    return _page(plain_pages.receipt_page(opened, said, _secret(request), calendar))


async def answer_link(request: Request) -> Response:
    """Accept or decline a quote, by the form of its page."""
    from service.operations.callers.links import answering, pages, plain_pages  # noqa: PLC0415

    secret, calendar, catalog = _secret(request), get_calendar(request), get_catalog(request)
    said = _said(await read_form(request))

    def answer(store: Store) -> Response:
        now = store.now()
        try:
            with store.write() as connection:
                answering.answer_link(connection, secret, said, calendar, now, catalog)
        except answering.AnsweredError as error:
            return _page(plain_pages.answered_page(error.opened, secret), 409)
        except answering.AnswerFaultsError as error:
            again = pages.paper_page(error.opened, secret, calendar, now, error)
            return _page(again, 422)
        place = f"{secret}/{pages.RECEIPT}" if said.answer == "accept" else secret
        return Response(status_code=303, headers={**_HEADERS, "Location": place})

    try:
        return await run_storing(request, answer)
    except LinkClosedError as error:
        return _closed(request, error)


def _said(fields: dict[str, str]) -> Said:
    """What a form says. Raises ProblemError for what the page doesn't send."""
    from service.operations.callers.links.answering import Said  # noqa: PLC0415

    if not fields.keys() <= set(FIELDS):
        raise ProblemError("request-malformed", f"The form has {', '.join(FIELDS)}.")
    named = fields.get("answer")
    if named not in ("accept", "decline"):
        raise ProblemError("request-malformed", "`answer` is accept or decline.")
    answer: Literal["accept", "decline"] = "accept" if named == "accept" else "decline"
    name = " ".join(unicodedata.normalize("NFC", fields.get("name", "")).split())
    if any(unicodedata.category(letter) == "Cc" for letter in name):
        raise ProblemError("request-malformed", "A name has no control characters.")
    agrees = fields.get("agrees") == "yes"
    return Said(answer=answer, name=name, agrees=agrees, mark=fields.get("mark", ""))


def _opening(request: Request) -> Callable[[Store], Opened]:
    secret = _secret(request)

    def read(store: Store) -> Opened:
        with store.read() as connection:
            return open_link(connection, secret, store.now())

    return read


async def _viewed(request: Request, opened: Opened) -> None:
    """Keep that a paper was looked at; where that can't be kept, it is shown all the same."""
    calendar = get_calendar(request)

    def note(store: Store) -> None:
        now = store.now()
        if opened.link.viewed_on == calendar.day(now).isoformat():
            return
        with store.write() as connection:
            note_view(connection, opened.link, calendar, now)

    try:
        await run_storing(request, note)
    except StorageError:
        return


def _secret(request: Request) -> str:
    secret: str = request.path_params["token"]
    return secret


def _closed(request: Request, error: LinkClosedError) -> Response:
    from service.operations.callers.links import plain_pages  # noqa: PLC0415

    language = error.language or read_language(request, get_args(Language))
    status = _NOT_FOUND if error.why == "unknown" else _GONE
    return _page(plain_pages.closed_page(error.why, language), status)


def _page(page: Page, status: int = 200) -> Response:
    headers = {**_HEADERS, "Content-Security-Policy": page.policy}
    return Response(page.text, status_code=status, media_type="text/html", headers=headers)
