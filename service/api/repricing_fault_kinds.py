"""The faults of re-pricings: what was asked, and why a quote could not be re-priced."""

from __future__ import annotations

from service.api.fault_kinds import FaultKind

REPRICING: tuple[FaultKind, ...] = (
    FaultKind(
        "unknown-preview",
        "There is no such preview",
        "A write carries out a preview that has succeeded, named by its id.",
    ),
    FaultKind(
        "write-names-more",
        "A write names more than its preview",
        "Price list, quotes and floor of a write are those of its preview; leave them out.",
    ),
    FaultKind(
        "preview-names-preview",
        "A preview names a preview",
        "Only a write names the preview that it carries out.",
    ),
    FaultKind(
        "issued-not-included",
        "Issued quotes are not included",
        "Quotes that are out are re-priced, as a new draft, only with include_issued.",
    ),
)
# Status, code, title, explanation of what stands against a call, or against a single quote.
REFUSED: tuple[tuple[int, str, str, str], ...] = (
    (
        404,
        "unknown-repricing",
        "There is no such re-pricing",
        "There is no re-pricing with this id. GET /v1/repricings lists all of them.",
    ),
    (
        409,
        "repricing-finished",
        "The re-pricing is over",
        "It has succeeded or failed; there is nothing left to cancel.",
    ),
    (
        409,
        "changed-since-preview",
        "The quote changed after the preview",
        "It has another revision or state than the preview read. Make a new preview for it.",
    ),
    (
        409,
        "pricing-missing",
        "The revision was kept without its quantities",
        "Re-pricing starts from quantities kept with a revision. Save the quote once more.",
    ),
)
