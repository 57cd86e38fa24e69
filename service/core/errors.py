"""Every error of the domain.

QuoteError
├── QuoteFaultsError      one or more faults in what the caller asked for
│   ├── LayoutFaultsError what laying out the walls found
│   └── PriceFaultsError  what pricing found
└── QuoteRefusedError     what is asked for is sound, and can't be done to this quote

A fault is data: where it is, a stable code, a sentence, and what would be right. `at` is
the path in the request, part by part, so that a caller can point at the field; nothing here
knows about HTTP.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar, Final

Path = tuple[str | int, ...]

# Nobody reads more, and an answer tells the first hundred: beyond it they are not even counted.
MOST_FAULTS: Final = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One mistake: `at` is its path in the request, `hint` what would be right."""

    code: str
    at: Path
    message: str
    hint: str | None = None


class QuoteError(Exception):
    """Root of the domain's errors."""


class QuoteFaultsError(QuoteError):
    """What was asked can't be quoted; `faults` holds every reason found in one pass."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(fault.message for fault in self.faults))


class LayoutFaultsError(QuoteFaultsError):
    """The walls can't be laid out as asked."""


class PriceFaultsError(QuoteFaultsError):
    """The quantities can't be priced with the prices given."""


class QuoteRefusedError(QuoteError):
    """What is asked for can't be done to a saved quote as it stands; `code` says why."""

    code: ClassVar[str]
