"""A paper as it is fixed for a link: what is kept, and what a customer says yes to."""

from __future__ import annotations

from typing import Any

import msgspec
from msgspec import Struct

from service.core.job.terms import ContractRules
from service.core.measure import UnitSetName
from service.documents.tree import Language


class Assent(Struct, frozen=True):
    """The figures that a customer's yes names, and the days in which it may be taken back.

    Sums are decimals of `currency`; `saturday_counts` and `observed_holidays` are those of
    `ContractRules`.
    """

    number: str
    company: str
    total: str
    deposit: str
    currency: str
    units: UnitSetName
    cancel_days: int | None = None
    saturday_counts: bool | None = None
    observed_holidays: bool | None = None

    @property
    def rules(self) -> ContractRules:
        """The place's rules, as far as they count days."""
        return ContractRules(
            cancel_days=self.cancel_days,
            saturday_counts=self.saturday_counts,
            observed_holidays=self.observed_holidays,
        )


class FixedContent(Struct, frozen=True):
    """What is kept of a paper: its tree, what its file is called, the SHA-256 of its PDF, and, of
    a customer's, what is agreed to."""

    language: Language
    name: str
    pdf_sha256: str
    tree: dict[str, Any]
    assent: Assent | None = None


class Fixed(Struct, frozen=True):
    """A paper that is fixed: content as JSON, and its PDF."""

    content: bytes
    pdf: bytes


def read_content(kept: bytes) -> FixedContent:
    """Kept content again."""
    return msgspec.json.decode(kept, type=FixedContent)
