"""What stands in the addresses of re-pricings: ids, pages, and which items are asked for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from starlette.requests import Request

from service.api.operation import Parameter
from service.api.parameters import ID_SCHEMA
from service.api.problems import ProblemError
from service.api.v1.pages import bad_cursor
from service.core.errors import QuoteRefusedError
from service.fields import ID_PATTERN

PREFIX = "/v1/repricings"

_ID = re.compile(ID_PATTERN, re.ASCII)
_CURSOR = re.compile(r"(?:[0-9a-f]{2}){1,64}", re.ASCII)
RUN_ID = Parameter(
    name="id",
    within="path",
    description="The re-pricing's id.",
    schema=ID_SCHEMA,
    component="RepricingId",
    required=True,
)


@contextmanager
def refusals() -> Iterator[None]:
    """Turn what can't be done to a run into its problem."""
    try:
        yield
    except QuoteRefusedError as error:
        status = 404 if error.code.startswith("unknown-") else 409
        raise ProblemError(error.code, str(error), status=status) from error


def read_id(request: Request) -> str:
    """The id in the path. Raises ProblemError (404) for what can't be one."""
    run_id: str = request.path_params["id"]
    if not _ID.fullmatch(run_id):
        raise ProblemError("unknown-repricing", status=404)
    return run_id


def _cursor(given: dict[str, str], pattern: str) -> str | None:
    """What a cursor stands for. Raises ProblemError for one that never came from here."""
    cursor = given.get("cursor")
    if cursor is None:
        return None
    held = bytes.fromhex(cursor).decode("latin-1") if _CURSOR.fullmatch(cursor) else ""
    if not re.fullmatch(pattern, held, re.ASCII):
        raise bad_cursor(cursor)
    return held


def read_before(given: dict[str, str]) -> str | None:
    """The id before which a page of runs begins, or None. Raises ProblemError."""
    return _cursor(given, ID_PATTERN)


def read_position(given: dict[str, str]) -> int:
    """The place at which a page of items begins. Raises ProblemError."""
    return int(_cursor(given, "[0-9]{1,9}") or 0)
