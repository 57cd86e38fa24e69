"""The key `quote` around a quote request: some documents have it, a request alone doesn't."""

from __future__ import annotations

from collections.abc import Mapping

from service.core.errors import Fault, QuoteFaultsError

WRAPPER = "quote"


def check_wrapper(document: object, *, wrapped: bool) -> None:
    """Raises QuoteFaultsError with one fault for a quote request that stands in `quote` and
    shouldn't, or should and doesn't, in place of a fault for each of its keys."""
    if not isinstance(document, Mapping):
        return
    if wrapped and "walls" in document and WRAPPER not in document:
        message = 'a quote request stands under the key "quote" here'
        hint = 'send {"quote": {"units": "us", …}}'
        raise QuoteFaultsError([Fault(code="wrapper-missing", at=(), message=message, hint=hint)])
    if not wrapped and WRAPPER in document and "walls" not in document:
        message = 'a quote request is sent as it is, without the key "quote" around it'
        hint = 'send what stands in "quote"'
        fault = Fault(code="wrapper-doubled", at=(WRAPPER,), message=message, hint=hint)
        raise QuoteFaultsError([fault])
