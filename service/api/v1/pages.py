"""Lists in pages: `?limit=1..200&cursor=…`, `{"items", "next"}` and a `Link` header."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType
from urllib.parse import parse_qsl

from starlette.requests import Request

from service.api.operation import Parameter
from service.api.parameters import text
from service.api.problems import ProblemError

DEFAULT_LIMIT = 50
MAX_LIMIT = 200
MAX_CURSOR = 128

_LIMIT = re.compile(r"[1-9][0-9]{0,2}", re.ASCII)
_CURSOR = re.compile(r"(?:[0-9a-f]{2}){1,64}", re.ASCII)

LIMIT = Parameter(
    name="limit",
    within="query",
    description="How many items a page may hold.",
    schema={"type": "integer", "minimum": 1, "maximum": MAX_LIMIT, "default": DEFAULT_LIMIT},
    component="Limit",
)
CURSOR = Parameter(
    name="cursor",
    within="query",
    description="Where the page begins, as in `next` of the page before.",
    schema={**text(2, MAX_CURSOR), "pattern": "^(?:[0-9a-f]{2}){1,64}$"},
    component="Cursor",
)
PAGE = (LIMIT, CURSOR)
_NONE: Mapping[str, str] = MappingProxyType({})


def read_page(request: Request, ids: Sequence[str]) -> tuple[Sequence[str], str | None]:
    """The ids of the page a request asks for, out of sorted ids, and the address of the next page.

    Raises ProblemError for a parameter that is unknown, repeated or unusable.
    """
    given = read_parameters(request, ("limit", "cursor"))
    limit = read_limit(given)
    after = _after(given["cursor"]) if "cursor" in given else b""
    rest = [id_ for id_ in ids if id_.encode("ascii") > after]
    page = rest[:limit]
    if len(rest) <= limit:
        return page, None
    return page, f"{request.scope['path']}?limit={limit}&cursor={_cursor(page[-1])}"


def link_header(next_page: str | None) -> dict[str, str]:
    """The `Link` header of a page (RFC 8288), if there is a next one."""
    return {} if next_page is None else {"Link": f'<{next_page}>; rel="next"'}


def refuse_parameters(request: Request) -> None:
    """See that a request that takes no parameters brings none."""
    if request.scope["query_string"]:
        raise ProblemError("parameter-invalid", "This address takes no query parameters.")


def read_parameters(
    request: Request, names: Collection[str], *, several: Mapping[str, str] = _NONE
) -> dict[str, str]:
    """The query parameters of a request. Raises ProblemError for one that is not among `names`,
    or given twice. Those that may be given several times, `several`, are put together by what
    stands there."""
    pairs = parse_qsl(request.scope["query_string"].decode("latin-1"), keep_blank_values=True)
    for name, _ in pairs:
        if name not in names:
            raise ProblemError("parameter-invalid", f"There is no parameter {name[:40]!r} here.")
    given: dict[str, str] = {}
    for name, value in pairs:
        if name not in given:
            given[name] = value
        elif name in several:
            given[name] += several[name] + value
        else:
            raise ProblemError("parameter-invalid", "A parameter is given twice.")
    return given


def read_limit(given: Mapping[str, str]) -> int:
    """How many items a page may hold. Raises ProblemError."""
    value = given.get("limit", str(DEFAULT_LIMIT))
    if not _LIMIT.fullmatch(value) or int(value) > MAX_LIMIT:
        raise ProblemError(
            "parameter-invalid", f"limit is a whole number from 1 to {MAX_LIMIT}, such as 50."
        )
    return int(value)


def _cursor(last: str) -> str:
    """The opaque cursor of the page after an id. Every word of its form is a place in the order
    of ids, so that a cursor outlives the entry it came from."""
    return last.encode("ascii").hex()


def _after(cursor: str) -> bytes:
    """The place in the order of ids that a cursor stands for."""
    if not _CURSOR.fullmatch(cursor):
        raise ProblemError(
            "parameter-invalid", "cursor is not one that this service gave; begin without it."
        )
    return bytes.fromhex(cursor)
