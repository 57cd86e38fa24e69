"""Whether a caller may know whom a quote is for."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.requests import Request

from service.api.admission.admission import scope_missing
from service.api.dependencies import get_caller

# Filters that would tell by what they find.
_NAMING = ("customer", "metadata")


def is_named(request: Request, given: Mapping[str, str] | None = None) -> bool:
    """Whether quotes are answered with what may name a customer.

    Raises ProblemError (403) for a filter by that (`given`) where they aren't.
    """
    caller = get_caller(request)
    if caller.may("quotes"):
        return True
    if any(name in (given or {}) for name in _NAMING):
        raise scope_missing(("quotes",), caller)
    return False
