"""`/v1/api-keys`: keys are made, listed, changed for a new secret, ended."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import msgspec
from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import content_response
from service.api.bodies import read_json, read_no_body
from service.api.dependencies import (
    get_caller,
    get_catalog,
    run_stored,
    run_storing,
    written_address,
)
from service.api.problems import ProblemError
from service.api.storing import read_call, stored_response
from service.api.v1.pages import (
    cursor_of,
    link_header,
    read_cursor,
    read_limit,
    read_parameters,
    refuse_parameters,
)
from service.operations.callers.caller import LOOPBACK
from service.operations.callers.key_request import KeyRequest, RotateRequest
from service.operations.callers.key_text import KEY_ID, KEYS_AT
from service.operations.callers.keys import (
    end_key,
    list_keys,
    make_key,
    read_key,
    rotate_key,
)
from service.operations.idempotent import Outcome, document_fingerprint, run_once
from service.operations.ruled import read_document
from service.storage import Connection, Store

NO_CONTENT = 204
_PLACE = re.compile(r"([0-9]{1,15}) ([a-z2-7]{10})", re.ASCII)

Work = Callable[[Connection, Store], Outcome]


async def make_api_key(request: Request) -> Response:
    """Make a key. It is shown once, in this answer; only its SHA-256 is kept."""
    refuse_parameters(request)
    caller = get_caller(request)
    if caller is LOOPBACK:
        raise ProblemError("key-needed")
    document = await read_json(request)
    wanted = read_document(KeyRequest, document, get_catalog(request))
    return await _stored(
        request,
        document,
        lambda connection, store: make_key(connection, store, wanted, by=caller.by),
    )


async def rotate_api_key(request: Request) -> Response:
    """Give a key a new secret; its id stays. The secret so far is good for `overlap` yet."""
    refuse_parameters(request)
    key_id, caller = _key_id(request), get_caller(request)
    document = await read_json(request)
    wanted = read_document(RotateRequest, document, get_catalog(request))
    return await _stored(
        request,
        document,
        lambda connection, store: rotate_key(
            connection, store, key_id, wanted.seconds(), by=caller.by
        ),
    )


async def end_api_key(request: Request) -> Response:
    """End a key with all its secrets: within 5 seconds every process refuses it."""
    refuse_parameters(request)
    await read_no_body(request)
    key_id, caller = _key_id(request), get_caller(request)

    def end(store: Store) -> None:
        with store.write() as connection:
            end_key(connection, store, key_id, by=caller.by)

    await run_storing(request, end)
    request.app.state.key_ring.forget()
    return Response(status_code=NO_CONTENT)


async def read_api_key(request: Request) -> Response:
    """A key without the key."""
    refuse_parameters(request)
    key_id = _key_id(request)
    found = await run_stored(request, lambda store: read_key(store, key_id))
    return content_response(request, msgspec.json.encode(found))


async def list_api_keys(request: Request) -> Response:
    """Keys, the newest first, those that have ended too."""
    given = read_parameters(request, ("limit", "cursor"))
    limit, before = read_limit(given), _before(given)
    found = await run_stored(
        request, lambda store: list_keys(store, limit=limit + 1, before=before)
    )
    shown, next_page = found[:limit], None
    if len(found) > limit:
        made_at, last = shown[-1]
        cursor = cursor_of(f"{made_at} {last.id}")
        next_page = written_address(request, f"{KEYS_AT}?limit={limit}&cursor={cursor}")
    page = {"items": [key for _, key in shown], "next": next_page}
    return content_response(request, msgspec.json.encode(page), headers=link_header(next_page))


async def _stored(request: Request, document: Any, work: Work) -> Response:  # noqa: ANN401  JSON
    """Do what stores once, whatever is repeated, and have the keys read again."""
    call = read_call(request, document_fingerprint(document))
    stored = await run_storing(
        request, lambda store: run_once(store, call, lambda connection: work(connection, store))
    )
    request.app.state.key_ring.forget()
    return stored_response(stored)


def _key_id(request: Request) -> str:
    """The id in the path. Raises ProblemError (404) for what can't be one."""
    key_id: str = request.path_params["id"]
    if not KEY_ID.fullmatch(key_id):
        raise ProblemError("unknown-api-key", status=404)
    return key_id


def _before(given: dict[str, str]) -> tuple[int, str] | None:
    """The key before which a page begins, or None. Raises ProblemError."""
    place = read_cursor(given, _PLACE)
    return (int(place[1]), place[2]) if place else None
