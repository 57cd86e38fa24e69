"""The fields of a form (application/x-www-form-urlencoded), read strictly: known names, each once,
UTF-8, no more of them than there are."""

from __future__ import annotations

from collections.abc import Collection
from urllib.parse import parse_qsl

from starlette.requests import Request

from service.api.bodies import read_form_bytes
from service.api.problems import ProblemError


async def read_form(request: Request, names: Collection[str], most_bytes: int) -> dict[str, str]:
    """The fields by their names. Raises ProblemError: 415, 413, and 400 for what is no such
    form."""
    data = await read_form_bytes(request, most_bytes)
    try:
        text = data.decode("ascii")
        pairs = parse_qsl(
            text,
            keep_blank_values=True,
            strict_parsing=bool(text),
            errors="strict",
            max_num_fields=len(names),
        )
    except ValueError:
        raise ProblemError("request-malformed", "The body is no form.") from None
    fields = dict(pairs)
    if len(fields) < len(pairs) or not fields.keys() <= set(names):
        raise ProblemError("request-malformed", f"The form has {', '.join(names)}, each once.")
    return fields
