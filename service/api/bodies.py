"""Bodies of requests: media type, size and JSON text, checked in one place for every route."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from typing import TypeVar

from starlette.requests import ClientDisconnect, Request
from starlette.types import Receive

from service import json_text
from service.api.calculating import in_thread
from service.api.problems import ProblemError
from service.core.errors import Fault
from service.json_text import Bounds
from service.operations.quoting.elsewhere import is_large
from service.operations.ruled import BOUNDS
from service.units import found

JSON = "application/json"
NDJSON = "application/x-ndjson"
T = TypeVar("T")
_TOO_LONG = "too-long"
_AS_JSON = "send JSON as application/json, in UTF-8, without Content-Encoding"

MAX_BODY_BYTES = 1024 * 1024
# Of all requests of a batch together, and of a price list; a single request may have far fewer.
MOST_VALUES_AT_ONCE = 150_000
BATCH_BOUNDS = Bounds(values=MOST_VALUES_AT_ONCE, items=BOUNDS.items)
# Of a request itself, which is no table.
MOST_KEYS = 2000
MAX_FILE_BYTES = 16 * 1024 * 1024
# What is still read and dropped of a body that is too large, so that the caller, who sends first
# and reads afterwards, sees the answer and not a broken connection.
DRAIN_BYTES = 4 * 1024 * 1024
DRAIN_SECONDS = 1.0


async def read_json(request: Request, bounds: Bounds = BOUNDS) -> object:
    """The body of a request as plain objects: dict, list, str, int, Decimal, bool, None.

    Raises ProblemError: 415 for another media type, charset or content coding, 413 beyond 1 MiB,
    400 for what is not strict JSON, 422 for too many values.
    """
    document, _ = await read_json_sized(request, bounds)
    return document


async def read_json_sized(request: Request, bounds: Bounds = BOUNDS) -> tuple[object, int]:
    """The same, and how many bytes it had; a large one is parsed in a thread."""
    data = await read_json_bytes(request)
    if is_large(len(data)):
        return await in_thread(parse_json, data, bounds), len(data)
    return parse_json(data, bounds), len(data)


async def read_json_bytes(request: Request) -> bytes:
    """The body as it came. Raises ProblemError as `read_json`, but for what is no JSON."""
    if read_media_type(request) != JSON:
        raise ProblemError("media-type-unsupported", said_type(request, _AS_JSON))
    return await read_bounded(request)


def parse_json(data: bytes, bounds: Bounds = BOUNDS) -> object:
    """The plain objects of a body. Raises ProblemError: 400 for what is not strict JSON, 422 for
    more values than are read, before any is."""
    try:
        document = json_text.loads(data, bounds)
    except json_text.JsonTextInvalidError as error:
        if error.code == _TOO_LONG:
            raise _too_long(error.message) from error
        raise ProblemError(error.code, str(error)) from error
    if isinstance(document, dict) and len(document) > MOST_KEYS:
        raise _too_long(f"{len(document)} keys are too many, a request has at most {MOST_KEYS}")
    return document


def _too_long(message: str) -> ProblemError:
    fault = Fault(code=_TOO_LONG, at=(), message=message, hint="split the request")
    return ProblemError(_TOO_LONG, faults=[fault])


async def read_file(request: Request, media_types: Mapping[str, T]) -> tuple[T, bytes]:
    """The bytes of a file that is the body of a request, and what its media type stands for.

    Raises ProblemError: 415 for another media type or a content coding, 413 beyond 16 MiB.
    """
    given = request.headers.getlist("content-type")
    name, *parameters = given[0].split(";") if len(given) == 1 else ("",)
    named = name.strip().lower()
    charsets = {"charset=utf-8", 'charset="utf-8"', "header=present", ""}
    sound = all(part.strip().lower() in charsets for part in parameters)
    encoded = request.headers.get("content-encoding", "identity").strip().lower() != "identity"
    if named not in media_types or not sound or encoded:
        types = " or ".join(media_types)
        raise ProblemError(
            "media-type-unsupported", said_type(request, f"a file is sent as {types}")
        )
    return media_types[named], await read_bounded(request, MAX_FILE_BYTES)


async def read_no_body(request: Request) -> None:
    """See that a request brings no body, or an empty JSON object, which says the same.

    Raises ProblemError as `read_json`, and 422 for a body that says something.
    """
    headers = request.headers
    if headers.get("content-length", "0") == "0" and "transfer-encoding" not in headers:
        return
    if await read_json(request) != {}:
        raise ProblemError("request-invalid", "This call takes no body, or an empty JSON object.")


async def refuse_large(receive: Receive, *, expects: bool) -> None:
    """Raise the 413 problem once the caller is ready to read it.

    `expects`: the caller waits for leave to send (`Expect: 100-continue`), so nothing is read.
    """
    finished = False if expects else await _drain(receive)
    raise ProblemError("body-too-large", headers={} if finished else {"Connection": "close"})


def read_media_type(request: Request) -> str | None:
    """The media type a body is declared as; None where that is not one type, in UTF-8, without
    content coding."""
    given = request.headers.getlist("content-type")
    coding = request.headers.get("content-encoding", "identity").strip().lower()
    if len(given) != 1 or coding != "identity":
        return None
    return media_type_name(given[0])


def media_type_name(content_type: str) -> str | None:
    """The name of a media type without any parameter but `charset=utf-8`; None for others."""
    if content_type == JSON:
        return JSON
    name, *parameters = (part.strip().lower() for part in content_type.split(";"))
    allowed = {"charset=utf-8", 'charset="utf-8"', ""}
    return name if all(part in allowed for part in parameters) else None


def said_type(request: Request, needed: str) -> str:
    """What a body came as, and what it is sent as."""
    headers = request.headers
    given = " and ".join(found(each) for each in headers.getlist("content-type"))
    coding = headers.get("content-encoding")
    coded = f" with Content-Encoding {found(coding)}" if coding else ""
    return f"The body came {f'as {given}' if given else 'without Content-Type'}{coded}; {needed}."


async def read_bounded(request: Request, most: int = MAX_BODY_BYTES) -> bytes:
    """The bytes of a body. Raises ProblemError 413 beyond so many."""
    parts: list[bytes] = []
    size = 0
    while True:
        message = await request.receive()
        if message["type"] == "http.disconnect":
            raise ClientDisconnect
        parts.append(message.get("body", b""))
        size += len(parts[-1])
        more = message.get("more_body", False)
        if size > most:
            if more:
                await refuse_large(request.receive, expects=False)
            raise ProblemError("body-too-large")
        if not more:
            return b"".join(parts)


async def _drain(receive: Receive) -> bool:
    """Read and drop the rest of a body; False when it did not end within the bounds."""
    dropped = 0
    try:
        async with asyncio.timeout(DRAIN_SECONDS):
            while dropped <= DRAIN_BYTES:
                message = await receive()
                dropped += len(message.get("body", b""))
                if not message.get("more_body", False):
                    return True
    except TimeoutError:
        return False
    return False
