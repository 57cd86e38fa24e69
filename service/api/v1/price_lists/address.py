"""The parts of the addresses of price lists: an id, the number of a revision, a day."""

from __future__ import annotations

import re
from datetime import date

from starlette.requests import Request

from service.api.operation import Parameter
from service.api.parameters import ID_SCHEMA
from service.api.problems import ParameterError, ProblemError
from service.fields import ID_PATTERN, calendar_day
from service.units import found

PREFIX = "/v1/price-lists"
LATEST = "latest"
_NUMBER = re.compile(r"[1-9][0-9]{0,8}", re.ASCII)
_LIST_ID = re.compile(ID_PATTERN, re.ASCII)

LIST_ID = Parameter(
    name="id",
    within="path",
    description="The price list's id.",
    schema=ID_SCHEMA,
    component="PriceListId",
    required=True,
)


def read_list_id(request: Request) -> str:
    """The id in the path. Raises PriceListMissingError for what can't be one."""
    list_id: str = request.path_params["id"]
    if not _LIST_ID.fullmatch(list_id):
        message = f"{found(list_id)} is not an id of lower-case letters, digits and underscores"
        raise ParameterError("id", message, "such as yard_2026", code="id-invalid")
    return list_id


def read_number(request: Request, name: str) -> int | None:
    """A revision in the path; None for `latest`. Raises ProblemError for what can't be one."""
    asked: str = request.path_params[name]
    if asked == LATEST:
        return None
    if not _NUMBER.fullmatch(asked):
        raise ProblemError(
            "unknown-revision", "A revision is a whole number from 1, or latest.", status=404
        )
    return int(asked)


def read_day(words: str, name: str) -> date:
    """A date in a query parameter, as a publication writes it. Raises ParameterError for what is
    none."""
    day = calendar_day(words)
    if day is None:
        message = f"{name}: {found(words)} is not a date from 1900 to 2199"
        raise ParameterError(name, message, "such as 2026-05-04")
    return day


def latest_url(list_id: str) -> str:
    """The address of the latest revision."""
    return f"{PREFIX}/{list_id}/revisions/{LATEST}"


def revision_url(list_id: str, number: int) -> str:
    """The address of a revision."""
    return f"{PREFIX}/{list_id}/revisions/{number}"
