"""Faults as the field is told them: what pricing found is one fault, without a figure or a name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace

from service.core.errors import Fault, PriceFaultsError, QuoteFaultsError

# Keys of a request whose entries only the office reads: no hint names another one.
_OFFICE = frozenset({"prices", "terms"})

NOT_PRICED = Fault(
    code="not-priced",
    at=(),
    message="this can't be priced by the price list and the terms that are named",
    hint="leave prices and terms out, or ask the office",
)


@contextmanager
def said_without_money() -> Iterator[None]:
    """Faults found inside, as the field is told them."""
    try:
        yield
    except QuoteFaultsError as error:
        raise QuoteFaultsError(without_money(error)) from None


def without_money(error: QuoteFaultsError) -> tuple[Fault, ...]:
    """The faults of an error, without what the office keeps to itself."""
    if isinstance(error, PriceFaultsError):
        return (NOT_PRICED,)
    return tuple(_unhinted(error.faults))


def _unhinted(faults: Iterable[Fault]) -> Iterator[Fault]:
    for fault in faults:
        about = [part for part in fault.at if part != "quote"][:1]
        yield replace(fault, hint=None) if _OFFICE.issuperset(about) and about else fault
