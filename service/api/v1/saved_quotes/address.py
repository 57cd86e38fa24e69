"""The parts of the addresses of saved quotes: an id, and the number of a revision."""

from __future__ import annotations

import re

from starlette.requests import Request

from service.api.operation import Parameter
from service.api.parameters import ID_SCHEMA
from service.api.problems import ParameterError, ProblemError
from service.fields import ID_PATTERN
from service.units import found

PREFIX = "/v1/saved-quotes"
_ID = re.compile(ID_PATTERN, re.ASCII)
_REVISION = re.compile(r"latest|[1-9][0-9]{0,8}", re.ASCII)

QUOTE_ID = Parameter(
    name="id",
    within="path",
    description="The saved quote's id.",
    schema=ID_SCHEMA,
    component="SavedQuoteId",
    required=True,
)


def read_id(request: Request) -> str:
    """The id in the path. Raises ParameterError for what can't be one."""
    quote_id: str = request.path_params["id"]
    if not _ID.fullmatch(quote_id):
        message = f"{found(quote_id)} is not an id of a saved quote"
        hint = f"of a reference, {PREFIX}?reference=… finds the quote"
        raise ParameterError("id", message, hint, code="id-invalid")
    return quote_id


def read_revision_number(request: Request, name: str = "revision") -> str:
    """The number of a revision in the path. Raises ProblemError (404) for what can't be one."""
    number: str = request.path_params[name]
    if not _REVISION.fullmatch(number):
        raise ProblemError("unknown-quote-revision")
    return number


def quote_url(quote_id: str) -> str:
    """The address of a quote."""
    return f"{PREFIX}/{quote_id}"


def revision_url(quote_id: str, revision: int) -> str:
    """The address of a revision."""
    return f"{PREFIX}/{quote_id}/revisions/{revision}"
