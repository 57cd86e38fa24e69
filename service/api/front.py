"""What stands before every route: request id, host and origin, framing, `Accept`, safe headers.

One pure ASGI class, since a framework middleware nearly doubles the cost of a request. It reads
no body: a route that takes one asks `bodies.read_json`, so that a refused caller is refused
before the first byte of the body is looked at. A failure below it becomes a 500 problem, and a
log line with the request id, the kind of error and the place; never its text, which may quote
what the caller sent.
"""

from __future__ import annotations

import logging
import re
import time
import uuid
from collections.abc import Iterable
from typing import Any

from starlette.requests import ClientDisconnect
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.api.admission.admission import SCRIPT, Admission
from service.api.admission.crossing import EXTRA_HEADERS, FORM, PRICE_RANGE
from service.api.admission.limits import Limits
from service.api.admission.peers import caller_address
from service.api.bodies import JSON, MAX_BODY_BYTES, NDJSON, media_type_name, refuse_large
from service.api.dependencies import CALLER
from service.api.failures import log_failure
from service.api.metrics import Metrics
from service.api.problems import REQUEST_ID, ProblemError, problem_response, response_for
from service.api.running import Running
from service.api.table import PLACE, Place, Table

# The server's parser bounds a head only while it is incomplete.
MAX_HEAD_BYTES = 16 * 1024
MOST_RUNNING = 500
# What is answered in these forms is looked for in `Accept` here; a handler that chooses does so
# itself (service/api/accept.py), and a person's browser takes a page.
_DATA = ("json", "lines")
_REQUEST_ID = re.compile(rb"[A-Za-z0-9._-]{1,64}", re.ASCII)
_SENT_ALWAYS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
)
# Pages of others may use these alone.
_CROSS_ORIGIN = frozenset({FORM, PRICE_RANGE, SCRIPT})
# What they say is an address.
_ADDRESSES = frozenset({b"location", b"content-location"})
_CORP = b"cross-origin-resource-policy"
_NOT_ACCEPTABLE = {NDJSON: "Lines are answered by lines: send `Accept: application/x-ndjson`."}
_CSP = b"content-security-policy"
_CLOSED_CSP = b"default-src 'none'; frame-ancestors 'none'"
# Of an answer that has no page.
SENT_WITH_ALL = (*_SENT_ALWAYS, (_CORP, b"same-origin"), (_CSP, _CLOSED_CSP))

_access = logging.getLogger("service.access")


class Front:
    """The outermost layer. `table` says what is served, `admission` who is let in,
    `running_calls` how many calls run at once."""

    def __init__(
        self,
        app: ASGIApp,
        *,
        table: Table | None = None,
        admission: Admission | None = None,
        limits: Limits | None = None,
        access_log: bool = False,
        running_calls: int = MOST_RUNNING,
        metrics: Metrics | None = None,
    ) -> None:
        self.app = app
        self.table = table or Table()
        self.admission = admission or Admission()
        self.limits = limits
        self.access_log = access_log
        self.running = Running(running_calls)
        self.metrics = metrics or Metrics()
        self.public_url = self.admission.hosts.public_url.encode("ascii")

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Check the head of a request, pass it on, and see the answer out."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = dict(scope["headers"])
        # HEAD is answered like GET; the server leaves the body out.
        inner = dict(scope, method="GET") if scope["method"] == "HEAD" else dict(scope)
        inner[REQUEST_ID] = _request_id(headers.get(b"x-request-id"))
        inner[PLACE] = self.table.find(scope["path"])
        inner[EXTRA_HEADERS] = []
        exit_ = _Exit(inner, send, self.public_url)
        began = self.metrics.began()
        try:
            await self._answer(headers, inner, receive, exit_)
        finally:
            self._tell(scope["method"], inner, exit_.status, began)

    async def _answer(
        self, headers: dict[bytes, bytes], inner: dict[str, Any], receive: Receive, exit_: _Exit
    ) -> None:
        try:
            answer = await self._admit(headers, inner)
            if answer is not None:
                await answer(inner, receive, exit_.send)
                return
            await self._check(headers, inner, receive)
            with self.running.call(inner["path"], receive) as takes:
                await self.app(inner, takes, exit_.send)
        except ProblemError as error:
            await response_for(error)(inner, receive, exit_.send)
        except ClientDisconnect:
            pass
        except Exception as error:  # noqa: BLE001  (nothing may leave as a bare traceback)
            await self._fail(error, inner, receive, exit_)

    def _tell(self, method: str, scope: Scope, status: int, began: float) -> None:
        """Count a call that is over, and log it where that is asked for."""
        place: Place | None = scope[PLACE]
        self.metrics.ended(method, None if place is None else place.path, status, began)
        if self.access_log:
            _log_access(method, scope, status, began)

    async def _admit(self, headers: dict[bytes, bytes], scope: Scope) -> Response | None:
        """Find out who calls, and count the call where calls are counted; the answer, where that
        is all there is to it."""
        if _head_size(scope) > MAX_HEAD_BYTES:
            raise ProblemError("head-too-large", headers={"Connection": "close"})
        caller = await self.admission.admit(scope, headers)
        if isinstance(caller, Response):
            return caller
        scope[CALLER] = caller
        place: Place | None = scope[PLACE]
        operation = None if place is None else place.operations.get(scope["method"])
        if self.limits is not None and operation is not None and operation.counted:
            address = caller_address(scope, self.admission.trusted)
            await self.limits.count(scope, address)
        return None

    async def _check(self, headers: dict[bytes, bytes], scope: Scope, receive: Receive) -> None:
        """Refuse what must not reach a route."""
        place: Place | None = scope[PLACE]
        takes_lines = place is not None and place.form == "lines" and _brings_lines(headers)
        length = headers.get(b"content-length")
        if length is not None:
            most = MAX_BODY_BYTES if place is None else place.most_bytes
            # Lines may be of any number: each has a limit of its own.
            await _check_length(length, headers, receive, None if takes_lines else most)
        form = NDJSON if takes_lines else JSON
        accept = headers.get(b"accept")
        is_data = place is not None and place.form in _DATA
        if is_data and accept is not None and not _accepts(accept, form):
            raise ProblemError("not-acceptable", _NOT_ACCEPTABLE.get(form))

    @staticmethod
    async def _fail(error: Exception, scope: Scope, receive: Receive, exit_: _Exit) -> None:
        """Log a failure and answer 500, if nothing was answered yet; else break the connection."""
        log_failure(error, scope[REQUEST_ID])
        if exit_.status:
            raise error
        await problem_response("internal-error")(scope, receive, exit_.send)


class _Exit:
    """The way out of one request: adds the headers every answer carries, notes the status."""

    __slots__ = ("_public_url", "_scope", "_send", "status")

    def __init__(self, scope: Scope, send: Send, public_url: bytes) -> None:
        self._public_url = public_url
        self._scope = scope
        self._send = send
        self.status = 0

    async def send(self, message: Message) -> None:
        """Pass a message on to the server."""
        if message["type"] == "http.response.start":
            self.status = message["status"]
            message["headers"] = self._headers(message.get("headers", ()))
        await self._send(message)

    def _headers(self, given: Iterable[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
        headers = [*given, *self._scope[EXTRA_HEADERS]]
        if self._public_url:
            headers = [self._placed(*each) for each in headers]
        names = {name for name, _ in headers}
        # What an answer says itself holds: a page with a form tells whose it is.
        headers += [each for each in _SENT_ALWAYS if each[0] not in names]
        crosses = self._scope["path"] in _CROSS_ORIGIN
        headers.append((_CORP, b"cross-origin" if crosses else b"same-origin"))
        headers.append((b"x-request-id", self._scope[REQUEST_ID].encode("ascii")))
        if _CSP not in names:
            headers.append((_CSP, _CLOSED_CSP))
        place: Place | None = self._scope[PLACE]
        is_file = place is not None and place.form == "file"
        if b"cache-control" not in names and not is_file:
            headers.append((b"cache-control", b"no-store"))
        return headers

    def _placed(self, name: bytes, value: bytes) -> tuple[bytes, bytes]:
        """A header whose path begins where callers find the service."""
        is_path = name in _ADDRESSES and value.startswith(b"/")
        return name, self._public_url + value if is_path else value


def _request_id(given: bytes | None) -> str:
    """The caller's id if it is a plain word, else a new one."""
    if given is not None and _REQUEST_ID.fullmatch(given):
        return given.decode("ascii")
    return uuid.uuid4().hex


def _head_size(scope: Scope) -> int:
    """Bytes of the address and of all headers, as far as they are the caller's."""
    size = len(scope["path"]) + len(scope.get("query_string", b""))
    return size + sum(len(name) + len(value) for name, value in scope["headers"])


async def _check_length(
    length: bytes, headers: dict[bytes, bytes], receive: Receive, most: int | None
) -> None:
    if b"transfer-encoding" in headers:
        raise ProblemError(
            "request-malformed",
            "Content-Length and Transfer-Encoding exclude each other.",
            headers={"Connection": "close"},
        )
    if not length.isdigit():
        raise ProblemError("request-malformed", headers={"Connection": "close"})
    if most is None:
        return
    # More than ten digits are too much whatever they say, and never turned into a number.
    if len(length.lstrip(b"0")) > len("1000000000") or int(length) > most:
        await refuse_large(receive, expects=b"expect" in headers)


def _brings_lines(headers: dict[bytes, bytes]) -> bool:
    """Whether the body is lines, which are answered by lines."""
    return media_type_name(headers.get(b"content-type", b"").decode("latin-1")) == NDJSON


def _accepts(accept: bytes, form: str) -> bool:
    """Whether a header `Accept` takes a media type of `application/` (RFC 9110, 12.5.1)."""
    if accept in {b"*/*", b"application/json", b""} and form == JSON:
        return True
    ranges = ("*/*", "application/*", form)
    best = (-1, 0.0)
    for part in accept.decode("latin-1").lower().split(","):
        name, *parameters = (piece.strip() for piece in part.split(";"))
        if name in ranges:
            best = max(best, (ranges.index(name), _quality(parameters)))
    return best[1] > 0


def _quality(parameters: list[str]) -> float:
    for parameter in parameters:
        if re.fullmatch(r"q=(0(\.\d{0,3})?|1(\.0{0,3})?)", parameter):
            return float(parameter[2:])
    return 1.0


def _log_access(method: str, scope: Scope, status: int, began: float) -> None:
    fields = {
        "request_id": scope[REQUEST_ID],
        "method": method,
        "route": None if scope[PLACE] is None else scope[PLACE].path,
        "status": status,
        "caller": scope[CALLER].by if CALLER in scope else None,
        "ms": round((time.perf_counter() - began) * 1000, 1),
    }
    _access.info("request", extra=fields)
