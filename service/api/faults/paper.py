"""Codes of `service/operations/paper/`."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "nothing-to-show",
        "The document would be empty",
        "What the document shows isn't in this quote: the problem says what is missing, such as "
        "the ground that is there, rates, or that the quote is saved.",
    ),
    ProblemKind(
        "unknown-company",
        "It isn't clear whose paper it is",
        "A document carries the head of a company of the catalog (`companies/`): name one. Left "
        "out, it is the only one, or the only one that isn't invented.",
    ),
    ProblemKind(
        "unknown-supplier",
        "Nothing is ordered from this supplier",
        "An order has a part for each supplier of the price list: name one of them, as it is "
        "written there, or none for all.",
    ),
)
