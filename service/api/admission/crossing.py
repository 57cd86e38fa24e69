"""Pages of other origins and the two addresses that they may call: the form and the price range.

What a browser asks before such a call is answered without a key, to origins of keys for websites
alone (the Fetch standard, "CORS protocol"). No credentials go along, and nothing else of the
service is for other origins.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from starlette.responses import Response
from starlette.types import Scope

from service.api.admission.key_ring import Keys
from service.api.problems import ProblemError

FORM: Final = "/v1/website/form"
PRICE_RANGE: Final = "/v1/website/price-range"
_PATHS = frozenset({FORM, PRICE_RANGE})
# Under this name stands what an answer carries besides what its route gives it.
EXTRA_HEADERS: Final = "service.extra_headers"
_EXPOSED = b"Retry-After, RateLimit, RateLimit-Policy"
_PREFLIGHT = MappingProxyType(
    {
        "Access-Control-Allow-Methods": "POST, GET",
        "Access-Control-Allow-Headers": (
            "Authorization, Content-Type, Accept-Language, Idempotency-Key"
        ),
        "Access-Control-Max-Age": "600",
    }
)
_NO_CONTENT = 204
MOST_SHOWN: Final = 200  # characters of an origin, the longest that a key may name


def is_website_call(scope: Scope) -> bool:
    """Whether a call is to one of the two addresses that a key for a website is for."""
    return scope["path"] in _PATHS


def other_origin(origin: str) -> ProblemError:
    """The refusal (403) of a page that no website's key, or not the one it shows, is for."""
    detail = (
        f"The page is of {origin[:MOST_SHOWN]}. A website's key is for pages of its own origins "
        "alone, which are set when it is made (`keys new --origin`): make one with this origin."
    )
    return ProblemError("origin-refused", detail)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """A call of one of the two addresses; `is_live` where its origin is that of a key."""

    is_live: bool

    @classmethod
    def of(cls, scope: Scope, origin: str | None, keys: Keys) -> Crossing | None:
        """The crossing, with the headers that its answer carries whatever comes of it; None
        elsewhere."""
        if scope["path"] not in _PATHS:
            return None
        extra: list[tuple[bytes, bytes]] = scope[EXTRA_HEADERS]
        extra.append((b"vary", b"Origin"))
        is_live = origin is not None and origin in keys.origins
        if origin is not None and is_live:
            extra.append((b"access-control-allow-origin", origin.encode("latin-1")))
            extra.append((b"access-control-expose-headers", _EXPOSED))
        return cls(is_live=is_live)

    def preflight(self, origin: str) -> Response:
        """What a browser is told before the call. Raises ProblemError for any other origin."""
        if not self.is_live:
            raise other_origin(origin)
        return Response(status_code=_NO_CONTENT, headers=dict(_PREFLIGHT))
