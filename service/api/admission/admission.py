"""Whether a call is let in, and as whose: before the first byte of its body is read.

Before the first key was made the service answers whoever sits at the machine. From the first one
on it asks for a key wherever the table of operations doesn't say `public`, and never again
answers without one.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final

from starlette.responses import Response
from starlette.types import Scope

from service.api.admission.crossing import Crossing, is_website_call, other_origin
from service.api.admission.hosts import Hosts
from service.api.admission.key_ring import KeyRing, Keys
from service.api.admission.peers import Network, came_by_proxy, is_trusted
from service.api.operation import Operation
from service.api.problems import ProblemError
from service.api.table import PLACE, Place
from service.operations.callers.caller import LOOPBACK, NOBODY, Caller
from service.storage import StorageError

LIVE: Final = "/health/live"
READY: Final = "/health/ready"
SCRIPT: Final = "/website.js"
# Pages of others may ask for these without a key.
_ANY_ORIGIN = frozenset({LIVE, READY, SCRIPT})
_BEARER = "bearer"
_RETRY = {"Retry-After": "2"}
_NO_KEYS = Keys()

Head = Mapping[bytes, bytes]


class Admission:
    """Lets calls in. Without a `ring` there are no keys; `closed` are ids of public operations
    that ask for a key all the same; `trusted` are the proxies whose word counts."""

    def __init__(
        self,
        *,
        hosts: Hosts | None = None,
        ring: KeyRing | None = None,
        trusted: Sequence[Network] = (),
        closed: Collection[str] = (),
    ) -> None:
        self.hosts = hosts or Hosts()
        self.ring = ring
        self.trusted = tuple(trusted)
        self.closed = frozenset(closed)
        # A proxy was seen whose word doesn't count, since keys are asked for.
        self.untrusted_proxy = False

    async def admit(self, scope: Scope, headers: Head) -> Caller | Response:
        """Who calls; or the answer, where that is all there is to a call.

        Raises ProblemError for a call that isn't let in.
        """
        keys = await self._keys(scope)
        host = _text(headers, b"host").lower()
        literal = keys is None or keys.in_force or scope["path"] == LIVE
        if not self.hosts.passes(host, literal=literal):
            raise ProblemError("host-refused")
        origin = _text(headers, b"origin").lower() if b"origin" in headers else None
        crossing = Crossing.of(scope, origin, keys or _NO_KEYS)
        if crossing is not None and scope["method"] == "OPTIONS" and origin is not None:
            return crossing.preflight(origin)
        foreign = origin is not None and not self.hosts.is_own(origin, host)
        if keys is not None and not keys.in_force:
            return self._without_keys(scope, headers, foreign=foreign)
        self._note_proxy(scope)
        return self._with_keys(scope, keys, foreign=foreign, origin=origin)

    async def _keys(self, scope: Scope) -> Keys | None:
        """The keys; None where nobody knows yet whether there are any."""
        if self.ring is None:
            return _NO_KEYS
        if scope["path"] == LIVE and self._is_open(scope):  # whatever becomes of the database
            return self.ring.last
        try:
            return await self.ring.known()
        except StorageError:
            return None

    def _without_keys(self, scope: Scope, headers: Head, *, foreign: bool) -> Caller:
        """Let whoever sits at the machine in, and nobody through a proxy or a web page."""
        if scope["path"] != LIVE and came_by_proxy(scope["headers"]):
            raise ProblemError("key-needed")
        if b"authorization" in headers and not self._is_open(scope):
            raise _unauthorized()
        if foreign and scope["path"] not in _ANY_ORIGIN:
            raise ProblemError("origin-refused")
        return LOOPBACK

    def _with_keys(
        self, scope: Scope, keys: Keys | None, *, foreign: bool, origin: str | None
    ) -> Caller:
        path = scope["path"]
        if self._is_open(scope):
            if foreign and path not in _ANY_ORIGIN:
                raise ProblemError("origin-refused")
            return self._shown(scope, keys) or NOBODY if path == READY else NOBODY
        if keys is None:
            raise ProblemError("storage-unavailable", headers=_RETRY)
        caller = self._shown(scope, keys)
        if caller is None:
            raise _unauthorized()
        if "website" in caller.scopes:
            if not is_website_call(scope):
                raise scope_missing(("website",), caller)
            if foreign and origin is not None and origin not in caller.origins:
                raise other_origin(origin)
            return caller
        operation = _operation(scope)
        if operation is not None and not _may(caller, operation):
            raise scope_missing(operation.scopes, caller)
        return caller

    def _shown(self, scope: Scope, keys: Keys | None) -> Caller | None:
        """Who the key in a request's head belongs to."""
        given = [value for name, value in scope["headers"] if name == b"authorization"]
        if len(given) != 1 or self.ring is None or keys is None:
            return None
        scheme, _, token = given[0].decode("latin-1").partition(" ")
        return self.ring.find(keys, token.strip(" ")) if scheme.lower() == _BEARER else None

    def _is_open(self, scope: Scope) -> bool:
        operation = _operation(scope)
        return (
            operation is not None
            and operation.scopes == ("public",)
            and operation.id not in self.closed
        )

    def _note_proxy(self, scope: Scope) -> None:
        if not self.untrusted_proxy and came_by_proxy(scope["headers"]):
            self.untrusted_proxy = not is_trusted(scope, self.trusted)


def _operation(scope: Scope) -> Operation | None:
    place: Place | None = scope[PLACE]
    return None if place is None else place.operations.get(scope["method"])


def _may(caller: Caller, operation: Operation) -> bool:
    return operation.scopes == ("public",) or any(
        caller.may(scope) for scope in operation.scopes if scope != "public"
    )


def _unauthorized() -> ProblemError:
    return ProblemError("key-invalid", headers={"WWW-Authenticate": "Bearer"})


def scope_missing(scopes: Sequence[str], caller: Caller) -> ProblemError:
    """The refusal (403) of a caller whose key has none of the scopes that something takes."""
    if "website" in caller.scopes:
        detail = "A key with the scope website is for the form and the price range alone."
    else:
        wanted = " or ".join(dict.fromkeys(name for scope in scopes for name in _holding(scope)))
        has = ", ".join(sorted(caller.scopes))
        detail = f"This takes a key with the scope {wanted}; the key has {has}."
    return ProblemError("scope-missing", detail)


def _holding(scope: str) -> tuple[str, ...]:
    """The scopes that a scope is part of, itself among them."""
    return ("field", "quotes") if scope == "field" else (scope,)


def _text(headers: Head, name: bytes) -> str:
    return headers.get(name, b"").decode("latin-1")
