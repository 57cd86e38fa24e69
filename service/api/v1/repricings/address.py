"""What stands in the addresses of re-pricings: ids, pages, and which items are asked for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from starlette.requests import Request

from service.api.operation import Parameter
from service.api.parameters import ID_SCHEMA
from service.api.problems import ProblemError
from service.api.v1.pages import read_cursor
from service.core.errors import QuoteRefusedError
from service.fields import ID_PATTERN

PREFIX = "/v1/repricings"

_ID = re.compile(ID_PATTERN, re.ASCII)
_POSITION = re.compile(r"[0-9]{1,9}", re.ASCII)
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


def read_before(given: dict[str, str]) -> str | None:
    """The id before which a page of runs begins, or None. Raises ProblemError."""
    place = read_cursor(given, _ID)
    return place[0] if place else None


def read_position(given: dict[str, str]) -> int:
    """The place at which a page of items begins. Raises ProblemError."""
    place = read_cursor(given, _POSITION)
    return int(place[0]) if place else 0
