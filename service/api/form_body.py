"""Bodies of forms that a browser sends without script: `application/x-www-form-urlencoded`
(WHATWG URL Standard, 5). Only a page's own form comes so; what JSON is sent to takes no other type.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from urllib.parse import parse_qsl

from starlette.requests import Request

from service.api.bodies import read_bounded, read_media_type, said_type
from service.api.problems import ProblemError

FORM = "application/x-www-form-urlencoded"
MOST_FORM_BYTES = 64 * 1024
MOST_FIELDS = 64
MOST_NAME_CHARACTERS = 64
MOST_VALUE_CHARACTERS = 4000
# A browser writes each `%` of a value as `%25`.
_BARE_PERCENT = re.compile(r"%(?![0-9A-Fa-f]{2})")


async def read_form(request: Request) -> dict[str, str]:
    """The fields of a form's body, each once; a line ends in one line feed.

    Raises ProblemError: 415 for another media type, charset or content coding, 413 beyond 64 KiB,
    400 for what no browser sends.
    """
    if read_media_type(request) != FORM:
        raise ProblemError("media-type-unsupported", said_type(request, f"send it as {FORM}"))
    return parse_form(await read_bounded(request, MOST_FORM_BYTES))


def parse_form(data: bytes) -> dict[str, str]:
    """The fields of a form as it is sent, or of a query (which is written alike).

    Raises ProblemError 400: bytes that aren't ASCII, a `%` without its two digits, text that isn't
    UTF-8, U+0000, a part without `=`, a field given twice, more or longer ones than a page has.
    """
    try:
        text = data.decode("ascii")
        if _BARE_PERCENT.search(text):
            raise ValueError(text)
        pairs = parse_qsl(
            text,
            keep_blank_values=True,
            strict_parsing=bool(text),
            errors="strict",
            max_num_fields=MOST_FIELDS,
        )
    except ValueError as error:
        raise _malformed("It is no form as a browser sends it, in UTF-8") from error
    fields = {name: value.replace("\r\n", "\n") for name, value in pairs}
    if len(fields) < len(pairs):
        raise _malformed("A field is given twice")
    _bound(fields)
    return fields


def _bound(fields: Mapping[str, str]) -> None:
    if any("\0" in name + value for name, value in fields.items()):
        raise _malformed("U+0000 is in it")
    if any(len(name) > MOST_NAME_CHARACTERS for name in fields):
        raise _malformed(f"A name has more than {MOST_NAME_CHARACTERS} characters")
    if any(len(value) > MOST_VALUE_CHARACTERS for value in fields.values()):
        raise _malformed(f"A field has more than {MOST_VALUE_CHARACTERS} characters")


def _malformed(found: str) -> ProblemError:
    return ProblemError("request-malformed", f"{found}: fill the page's own form in.")
