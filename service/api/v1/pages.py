"""Lists in pages: `?limit=1..200&cursor=…`, `{"items", "next"}` and a `Link` header."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType
from urllib.parse import parse_qsl

from starlette.requests import Request

from service.api.dependencies import written_address
from service.api.operation import Parameter
from service.api.parameters import text
from service.api.problems import ParameterError
from service.units import found

DEFAULT_LIMIT = 50
MAX_LIMIT = 200
MAX_CURSOR = 128
_LONGEST_NAME = 40

_LIMIT = re.compile(r"[1-9][0-9]{0,2}", re.ASCII)
_CURSOR = re.compile(r"(?:[0-9a-f]{2}){1,64}", re.ASCII)
_ANYWHERE = re.compile(r".+", re.DOTALL)

LIMIT = Parameter(
    name="limit",
    within="query",
    description=f"How many items a page may hold. Left out: {DEFAULT_LIMIT}.",
    schema={"type": "integer", "minimum": 1, "maximum": MAX_LIMIT},
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


def read_page(
    request: Request, ids: Sequence[str], *, elsewhere: Mapping[str, str] = _NONE
) -> tuple[Sequence[str], str | None]:
    """The ids of the page a request asks for, out of sorted ids, and the address of the next page.

    Raises ProblemError for a parameter that is unknown (`elsewhere` as of `read_parameters`),
    repeated or unusable.
    """
    given = read_parameters(request, ("limit", "cursor"), elsewhere=elsewhere)
    limit = read_limit(given)
    after = read_cursor(given, _ANYWHERE)
    rest = [id_ for id_ in ids if after is None or id_ > after[0]]
    page = rest[:limit]
    if len(rest) <= limit:
        return page, None
    query = f"limit={limit}&cursor={cursor_of(page[-1])}"
    return page, written_address(request, f"{request.scope['path']}?{query}")


def link_header(next_page: str | None) -> dict[str, str]:
    """The `Link` header of a page (RFC 8288), if there is a next one."""
    return {} if next_page is None else {"Link": f'<{next_page}>; rel="next"'}


def refuse_parameters(request: Request, *, elsewhere: Mapping[str, str] = _NONE) -> None:
    """See that a request that takes no parameters brings none; `elsewhere` as of
    `read_parameters`."""
    read_parameters(request, (), elsewhere=elsewhere)


def read_parameters(
    request: Request,
    names: Collection[str],
    *,
    several: Mapping[str, str] = _NONE,
    elsewhere: Mapping[str, str] = _NONE,
) -> dict[str, str]:
    """The query parameters of a request. Raises ProblemError for one that is not among `names`,
    or given twice. Those that may be given several times, `several`, are put together by what
    stands there. `elsewhere` has the addresses that take a parameter which this one doesn't."""
    pairs = parse_qsl(request.scope["query_string"].decode("latin-1"), keep_blank_values=True)
    given: dict[str, str] = {}
    for name, value in pairs:
        if name not in names:
            raise _unknown(name, names, elsewhere.get(name))
        if name not in given:
            given[name] = value
        elif name in several:
            given[name] += several[name] + value
        else:
            raise ParameterError(name, f"{name} is given twice; once is enough")
    return given


def _unknown(name: str, names: Collection[str], address: str | None) -> ParameterError:
    short = name[:_LONGEST_NAME]
    message = f"there is no parameter {found(short)} here; "
    message += f"there are {', '.join(names)}" if names else "this address takes none"
    if address is not None:
        return ParameterError(short, message, f"{name} is read at {address}")
    near = difflib.get_close_matches(short, names, 1)
    return ParameterError(short, message, f'did you mean "{near[0]}"?' if near else None)


def read_limit(given: Mapping[str, str]) -> int:
    """How many items a page may hold. Raises ProblemError."""
    value = given.get("limit", str(DEFAULT_LIMIT))
    if not _LIMIT.fullmatch(value) or int(value) > MAX_LIMIT:
        message = f"limit: {found(value)} is not a whole number from 1 to {MAX_LIMIT}"
        raise ParameterError("limit", message, f"such as {DEFAULT_LIMIT}")
    return int(value)


def bad_cursor(cursor: str) -> ParameterError:
    """What is said of a cursor that no page gave."""
    message = f"cursor: {found(cursor)} is not one that this service gave"
    return ParameterError("cursor", message, "begin without it; go on with `next` of each page")


def cursor_of(place: str) -> str:
    """The opaque cursor of the page after a place. Every word of a place's form is one, so that a
    cursor outlives what it came from."""
    return place.encode("ascii").hex()


def read_cursor(given: Mapping[str, str], form: re.Pattern[str]) -> re.Match[str] | None:
    """The place that a cursor stands for, by the form of places; None where the first page is
    asked for. Raises ProblemError."""
    cursor = given.get("cursor")
    if cursor is None:
        return None
    held = bytes.fromhex(cursor).decode("latin-1") if _CURSOR.fullmatch(cursor) else ""
    place = form.fullmatch(held)
    if place is None:
        raise bad_cursor(cursor)
    return place
