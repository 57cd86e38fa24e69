"""Re-pricings: what was asked, and why a quote could not be re-priced."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "changed-since-preview",
        "Something changed since the preview",
        "What would be written now is not what the preview showed, so nothing was written. Make "
        "a new preview, look at it, and write that one.",
        status=409,
    ),
    ProblemKind(
        "unknown-repricing",
        "There is no such re-pricing",
        "There is no re-pricing with this id. GET /v1/repricings lists all of them.",
        status=404,
    ),
    ProblemKind(
        "repricing-finished",
        "The re-pricing is over",
        "It has succeeded or failed; there is nothing left to cancel.",
        status=409,
    ),
    ProblemKind(
        "repricing-not-written",
        "The re-pricing has no drafts to issue",
        "Drafts are made by a write, and issued when it is over. A preview makes none: write it "
        "first.",
        status=409,
    ),
    ProblemKind(
        "pricing-missing",
        "The revision was kept without its quantities",
        "Re-pricing starts from quantities kept with a revision. Save the quote once more.",
        status=409,
    ),
    ProblemKind(
        "unknown-quote",
        "A quote that was named isn't there",
        "No saved quote has this id or reference. Look at GET /v1/saved-quotes?reference=…, which "
        "finds references in upper and lower case.",
        status=404,
    ),
    ProblemKind(
        "state-not-repriced",
        "A quote that was named is in no state to be re-priced",
        "Drafts are re-priced, and with `include_issued` quotes whose price is out. What was "
        "accepted, declined or withdrawn keeps its price; make a revision of it instead.",
        status=409,
    ),
    ProblemKind(
        "unknown-preview",
        "There is no such preview",
        "A write carries out a preview that has succeeded, named by its id.",
    ),
    ProblemKind(
        "write-names-more",
        "A write names more than its preview",
        "Price list, quotes and floor of a write are those of its preview; leave them out.",
    ),
    ProblemKind(
        "preview-names-preview",
        "A preview names a preview",
        "Only a write names the preview that it carries out.",
    ),
    ProblemKind(
        "issued-not-included",
        "Issued quotes are not included",
        "Quotes that are out are re-priced, as a new draft, only with include_issued.",
    ),
)
