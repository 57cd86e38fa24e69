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

from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.api.bodies import JSON, NDJSON, media_type_name, most_bytes, refuse_large
from service.api.failures import log_failure
from service.api.problems import REQUEST_ID, ProblemError, problem_response, response_for

# The server's parser bounds a head only while it is incomplete.
MAX_HEAD_BYTES = 16 * 1024
LOOPBACK_HOSTS = frozenset({"localhost", "127.0.0.1", "[::1]"})
# Below these every answer is JSON; what lies elsewhere are pages for people.
_JSON_PREFIXES = ("/v1/", "/health/", "/openapi.json")
# These choose the form of their answer themselves (api/accept.py).
_NEGOTIATED = re.compile(r"/v1/saved-quotes/export|/v1/repricings/[^/]+/items", re.ASCII)
_STATIC_PREFIX = "/static-offline-docs/"
# Here lines may go in and come out, of any number: each has a limit of its own.
_NDJSON_PATHS = frozenset({"/v1/quotes/batch"})

_REQUEST_ID = re.compile(rb"[A-Za-z0-9._-]{1,64}", re.ASCII)
_SENT_ALWAYS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
_NOT_ACCEPTABLE = {NDJSON: "Lines are answered by lines: send `Accept: application/x-ndjson`."}
_CSP = b"content-security-policy"
_CLOSED_CSP = b"default-src 'none'; frame-ancestors 'none'"

_access = logging.getLogger("service.access")


class Front:
    """The outermost layer. `hosts` are the names besides loopback a request may give in `Host`."""

    def __init__(
        self, app: ASGIApp, *, hosts: Iterable[str] = (), access_log: bool = False
    ) -> None:
        self.app = app
        self.hosts = LOOPBACK_HOSTS | {host.lower() for host in hosts}
        self.access_log = access_log

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Check the head of a request, pass it on, and see the answer out."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = dict(scope["headers"])
        # HEAD is answered like GET; the server leaves the body out.
        inner = dict(scope, method="GET") if scope["method"] == "HEAD" else dict(scope)
        inner[REQUEST_ID] = _request_id(headers.get(b"x-request-id"))
        exit_ = _Exit(inner, send)
        began = time.perf_counter()
        try:
            await self._check(headers, inner, receive)
            await self.app(inner, receive, exit_.send)
        except ProblemError as error:
            await response_for(error)(inner, receive, exit_.send)
        except ClientDisconnect:
            return
        except Exception as error:  # noqa: BLE001  (nothing may leave as a bare traceback)
            await self._fail(error, inner, receive, exit_)
        if self.access_log:
            _log_access(scope["method"], inner, exit_.status, began)

    async def _check(self, headers: dict[bytes, bytes], scope: Scope, receive: Receive) -> None:
        """Refuse what must not reach a route."""
        if _head_size(scope) > MAX_HEAD_BYTES:
            raise ProblemError("head-too-large", headers={"Connection": "close"})
        host = headers.get(b"host", b"").decode("latin-1").lower()
        if _host_name(host) not in self.hosts:
            raise ProblemError("host-refused")
        origin = headers.get(b"origin")
        if origin is not None and not _same_origin(origin.decode("latin-1").lower(), host):
            raise ProblemError("origin-refused")
        form = _form(scope["path"], headers)
        length = headers.get(b"content-length")
        if length is not None:
            most = most_bytes(scope["path"]) if form == JSON else None
            await _check_length(length, headers, receive, most)
        accept = headers.get(b"accept")
        if accept is not None and not _accepts(accept, form) and _is_json(scope["path"]):
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

    __slots__ = ("_scope", "_send", "status")

    def __init__(self, scope: Scope, send: Send) -> None:
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
        headers = [*given, *_SENT_ALWAYS]
        headers.append((b"x-request-id", self._scope[REQUEST_ID].encode("ascii")))
        names = {name for name, _ in headers}
        if _CSP not in names:
            headers.append((_CSP, _CLOSED_CSP))
        if b"cache-control" not in names and not self._scope["path"].startswith(_STATIC_PREFIX):
            headers.append((b"cache-control", b"no-store"))
        return headers


def _request_id(given: bytes | None) -> str:
    """The caller's id if it is a plain word, else a new one."""
    if given is not None and _REQUEST_ID.fullmatch(given):
        return given.decode("ascii")
    return uuid.uuid4().hex


def _head_size(scope: Scope) -> int:
    """Bytes of the address and of all headers, as far as they are the caller's."""
    size = len(scope["path"]) + len(scope.get("query_string", b""))
    return size + sum(len(name) + len(value) for name, value in scope["headers"])


def _host_name(host: str) -> str:
    """`Host` without the port."""
    name, bracket, rest = host.partition("]")
    if bracket:
        return name + bracket if not rest or rest.startswith(":") else host
    return host.partition(":")[0]


def _same_origin(origin: str, host: str) -> bool:
    return origin in {f"http://{host}", f"https://{host}"}


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


def _is_json(path: str) -> bool:
    return path.startswith(_JSON_PREFIXES) and not _NEGOTIATED.fullmatch(path)


def _form(path: str, headers: dict[bytes, bytes]) -> str:
    """The media type of the answer, as far as it is data: lines are answered by lines."""
    if path in _NDJSON_PATHS:
        given = headers.get(b"content-type", b"").decode("latin-1")
        return NDJSON if media_type_name(given) == NDJSON else JSON
    return JSON


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
        "route": getattr(scope.get("route"), "path", None),
        "status": status,
        "ms": round((time.perf_counter() - began) * 1000, 1),
    }
    _access.info("request", extra=fields)
