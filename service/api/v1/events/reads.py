"""`GET /v1/events`: what changed, in order and without gaps, for who can't be called."""

from __future__ import annotations

import re
from collections.abc import Mapping
from urllib.parse import urlencode

from msgspec import to_builtins
from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import read_response
from service.api.dependencies import get_caller, get_public_url, run_stored, written_address
from service.api.operation import Parameter
from service.api.problems import ParameterError, ProblemError
from service.api.v1.events.address import PREFIX
from service.api.v1.pages import LIMIT, link_header, read_limit, read_parameters
from service.operations.callers.caller import Caller
from service.operations.callers.event_list import (
    EVENT_TYPES,
    EventPage,
    EventsGoneError,
    event_answer,
    heard_types,
    read_events,
    scopes_for,
)
from service.storage import Store
from service.storage.events import EventType
from service.units import found

_AFTER = re.compile(r"0|[1-9][0-9]{0,17}", re.ASCII)

AFTER = Parameter(
    name="after",
    within="query",
    description="The id of the last event that is known already. Left out: from the oldest that is "
    "kept.",
    schema={"type": "string", "pattern": f"^(?:{_AFTER.pattern})$", "maxLength": 18},
    component="After",
)
TYPE = Parameter(
    name="type",
    within="query",
    description="Only events of these types, such as `quote.state_changed`; may be given several "
    "times. Left out: all that the key may read.",
    schema={"type": "array", "items": {"type": "string", "enum": list(EVENT_TYPES)}},
    component="EventTypes",
)


async def list_all_events(request: Request) -> Response:
    """Every change of something stored, in the order in which they were committed, without gaps.

    Ask `next` again whenever you like: it is never null, and leads to what comes. A key reads
    what its scopes are about: `field` of quotes, `quotes` of leads and links as well, `prices` of
    price lists, column mappings and re-pricings, `admin` everything. Where events after `after`
    were dropped, or there never was such an event, it is 410 `events-gone`.
    """
    given = read_parameters(request, ("after", "type", "limit"), several={"type": ","})
    after, limit = _after(given), read_limit(given)
    types = _types(given, get_caller(request))

    def read(store: Store) -> EventPage:
        with store.read() as connection:
            events, reached = read_events(connection, types, after=after, limit=limit)
        items = tuple(event_answer(each, get_public_url(request)) for each in events)
        return EventPage(items=items, next=written_address(request, _next(given, reached)))

    try:
        page = await run_stored(request, read)
    except EventsGoneError as error:
        raise ProblemError("events-gone", str(error)) from error
    return read_response(request, to_builtins(page), headers=link_header(page.next))


def _after(given: Mapping[str, str]) -> int | None:
    """The number after which to begin. Raises ParameterError."""
    text = given.get("after")
    if text is None:
        return None
    if not _AFTER.fullmatch(text):
        message = f"after: {found(text)} is not the id of an event"
        raise ParameterError("after", message, "as in `next` of the last page, or leave it out")
    return int(text)


def _types(given: Mapping[str, str], caller: Caller) -> tuple[EventType, ...]:
    """The types that are asked for. Raises ParameterError, and ProblemError (403) for one that the
    caller may not read."""
    heard = heard_types(caller)
    if "type" not in given:
        return heard
    asked = given["type"].split(",")
    for word in asked:
        if word not in EVENT_TYPES:
            message = f"type: {found(word)} is not one of {', '.join(EVENT_TYPES)}"
            raise ParameterError("type", message)
    types = tuple(type_ for type_ in EVENT_TYPES if type_ in asked)
    for type_ in types:
        if type_ not in heard:
            wanted = " or ".join(scopes_for(type_))
            message = f"Events of the type {type_} take a key with the scope {wanted}."
            raise ProblemError("scope-missing", message)
    return types


def _next(given: Mapping[str, str], reached: int) -> str:
    """The address that leads on: what was asked for, after the last number that was looked at."""
    asked = [("type", word) for word in given["type"].split(",")] if "type" in given else []
    kept = [("limit", given["limit"])] if "limit" in given else []
    return f"{PREFIX}?{urlencode([('after', str(reached)), *asked, *kept])}"


PARAMETERS = (AFTER, TYPE, LIMIT)
