"""`/website/{id}`: the form as a page, which works without script.

A form is sent to the address of its page and answered with 303 to its result: the same page with
the answers in its query, worked out anew, so that it can be kept, shared and loaded again. How to
reach the visitor is in no address.
"""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable, Mapping, Sequence
from http import HTTPStatus
from typing import Any, Protocol
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from service.api.error_answers import ERROR_ANSWERS
from service.api.form_body import read_form
from service.api.late import Handler
from service.api.v1.website.languages import language_headers, read_language
from service.api.website.drawn import Shown, nowhere_text, page_text, policy
from service.api.website.fields import Json, Typed, answers_of, defaults_of
from service.api.website.told import notice_of, said_faults
from service.api.website.words import LANGUAGES, words_by_name
from service.core.errors import QuoteFaultsError, QuoteRefusedError
from service.documents.tree import Language

_NO_LEAD: Json = {"properties": {}}
_DIGITS = 10
_REFERENCE = re.compile(r"[A-Za-z0-9_-]{1,64}", re.ASCII)
_REFUSALS = tuple(kind for kind in ERROR_ANSWERS if isinstance(kind, type))


class Website(Protocol):
    """What a page asks: the form in one of its languages, and the answer to what was sent."""

    @property
    def languages(self) -> Sequence[Language]:
        """The languages it is said in, the usual one first."""

    def form(self, language: Language) -> Json:
        """The form, as `GET /v1/website/form` has it."""

    def check(self, body: Json, language: Language) -> Awaitable[None]:
        """See that what was sent can be worked out. Raises what the price range refuses with."""

    def answer(self, body: Json, language: Language) -> Awaitable[Json]:
        """The range, as `POST /v1/website/price-range` has it. Raises likewise."""


Find = Callable[[Request], Website]
Show = Callable[[Request, Website], Awaitable[Response]]


async def read_website_page(request: Request, website: Website) -> Response:
    """The form; with answers in the query, their range too."""
    language, sent = _language(request, website), dict(request.query_params)
    form = website.form(language)
    values = _answers(sent)
    if not values:
        shown = Shown(typed=Typed(values=defaults_of(form), faults={}))
        return _page(website, language, shown)
    try:
        answer = await website.answer(_body(form, values), language)
    except _REFUSALS as error:
        return await _again(request, website, values, error)
    told = {**answer, **_reference(sent)}
    shown = Shown(typed=Typed(values=values, faults={}), answer=told)
    return _page(website, language, shown)


async def send_website_page(request: Request, website: Website) -> Response:
    """What was typed. Its result is another address: loading that again sends nothing.

    What is only asked is worked out there; what is left to reach the visitor is kept here.
    """
    sent = await read_form(request)
    language = _language(request, website)
    body = _body(website.form(language), sent)
    kept = {"language": language, **_answers(sent)}
    try:
        if "lead" in body:
            answer = await website.answer(body, language)
            kept |= {name: answer[name] for name in ("reference",) if name in answer}
        else:
            await website.check(body, language)
    except _REFUSALS as error:
        return await _again(request, website, sent, error)
    location = f"?{urlencode(kept)}#wall-form-answer"
    return Response(status_code=HTTPStatus.SEE_OTHER, headers={"Location": location})


async def _again(
    request: Request, website: Website, typed: Mapping[str, str], error: Exception
) -> Response:
    """The page with what was typed, and with what is to be looked at again."""
    language = _language(request, website)
    words, refused = words_by_name(language), await _as_response(request, error)
    faults: dict[str, str] = {}
    if isinstance(error, QuoteFaultsError):
        faults = said_faults(error.faults, website.form(language), typed, words)
    notice = "" if faults else notice_of(refused, words)
    shown = Shown(typed=Typed(values=typed, faults=faults), notice=notice)
    return _page(website, language, shown, refused)


async def _at(request: Request, find: Find, shown: Show) -> Response:
    """What is shown of the website that an address names; of none a page that says so."""
    try:
        website = find(request)
    except QuoteRefusedError as error:
        refused, language = await _as_response(request, error), read_language(request, LANGUAGES)
        headers = {"Content-Security-Policy": policy(), **language_headers(language)}
        text = nowhere_text(language)
        return Response(text, refused.status_code, headers, media_type="text/html")
    return await shown(request, website)


def _answers(sent: Mapping[str, str]) -> dict[str, str]:
    """What was answered, by field."""
    return {name: text for name, text in sent.items() if name.startswith("answers.") and text}


def _body(form: Json, sent: Mapping[str, str]) -> dict[str, Any]:
    """What was typed, as the body of a call for a range."""
    version = sent.get("form_version", str(form["form_version"]))
    body: dict[str, Any] = {
        "answers": answers_of(form["schema"], "answers", sent),
        "form_version": int(version) if version.isdecimal() and len(version) < _DIGITS else 0,
        "website": sent.get("website", ""),
    }
    lead = answers_of(form.get("lead_schema") or _NO_LEAD, "lead", sent)
    return {**body, "lead": lead} if lead else body


def _reference(sent: Mapping[str, str]) -> dict[str, str]:
    """The number under which a request was kept, as the address of its result has it."""
    given = sent.get("reference", "")
    return {"reference": given} if _REFERENCE.fullmatch(given) else {}


async def _as_response(request: Request, error: Exception) -> Response:
    """What another operation would answer with."""
    for kind in type(error).__mro__:
        if kind in ERROR_ANSWERS:
            return await ERROR_ANSWERS[kind](request, error)
    raise error


def _page(
    website: Website, language: Language, shown: Shown, refused: Response | None = None
) -> Response:
    headers = {
        "Content-Security-Policy": policy(),
        # The form says whose it is by `Origin`, which `no-referrer` would take out.
        "Referrer-Policy": "same-origin",
        "Content-Language": language,
        "Vary": "Accept-Language",
    }
    if refused is not None and "retry-after" in refused.headers:
        headers["Retry-After"] = refused.headers["retry-after"]
    status = HTTPStatus.OK if refused is None else refused.status_code
    others = tuple(each for each in website.languages if each != language)
    text = page_text(website.form(language), language, others, shown)
    return Response(text, status, headers, media_type="text/html")


def _language(request: Request, website: Website) -> Language:
    given, languages = request.query_params.get("language", ""), website.languages
    return next((each for each in languages if each == given), read_language(request, languages))


def page_handlers(find: Find) -> tuple[Handler, Handler]:
    """What reads the page and what takes its form, over what finds a website by the address of a
    request."""

    async def read(request: Request) -> Response:
        return await _at(request, find, read_website_page)

    async def send(request: Request) -> Response:
        return await _at(request, find, send_website_page)

    return read, send
