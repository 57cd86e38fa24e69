"""Answers of several forms: which one a caller asked for (RFC 9110, 12.5.1)."""

from __future__ import annotations

import re
from collections.abc import Sequence

from starlette.requests import Request

from service.api.problems import ProblemError

NDJSON = "application/x-ndjson"
CSV = "text/csv"
_QUALITY = re.compile(r"q=(0(?:\.\d{0,3})?|1(?:\.0{0,3})?)", re.ASCII)


def choose_form(request: Request, forms: Sequence[str]) -> str:
    """The form of the answer: the one that `Accept` likes best, the first where it likes all.

    Raises ProblemError (406) where none fits.
    """
    accept = ",".join(request.headers.getlist("accept")) or "*/*"
    best = max(forms, key=lambda form: _liking(accept, form))
    if _liking(accept, best) <= 0:
        raise ProblemError("not-acceptable", f"This address answers as {' or '.join(forms)}.")
    return best


def _liking(accept: str, form: str) -> float:
    """How much `Accept` likes a form, from 0 to 1, by the most specific range that fits it."""
    ranges = ("*/*", f"{form.partition('/')[0]}/*", form)
    best = (-1, 0.0)
    for part in accept.lower().split(","):
        name, *parameters = (piece.strip() for piece in part.split(";"))
        if name in ranges:
            best = max(best, (ranges.index(name), quality(parameters)))
    return best[1]


def quality(parameters: Sequence[str]) -> float:
    """How much a part of `Accept` or `Accept-Encoding` is liked; 1 where it doesn't say."""
    found = (_QUALITY.fullmatch(parameter) for parameter in parameters)
    return next((float(match[1]) for match in found if match), 1.0)
