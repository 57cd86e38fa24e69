"""What is at fault with a re-pricing, in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from service.cli.pointers import fault_words
from service.cli.start import ended
from service.core.errors import Fault, QuoteFaultsError, QuoteRefusedError
from service.faults import pointer
from service.operations.repricing.repricing import RepricingDisagreesError


@contextmanager
def told() -> Iterator[None]:
    """Say what is at fault in plain words, and end with exit code 1."""
    try:
        yield
    except QuoteFaultsError as error:
        raise ended("\n".join(map(_words, error.faults))) from error
    except QuoteRefusedError as error:
        raise ended(str(error)) from error
    except RepricingDisagreesError as error:
        message = f"Quote {error} was found at two totals; nothing of its chunk was written."
        raise ended(message) from error


def _words(fault: Fault) -> str:
    hint = f" ({fault.hint})" if fault.hint else ""
    return f"{fault_words(pointer(fault.at), fault.message)}{hint}"
