"""Saved quotes."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "answer-not-made",
        "The answer of a draft can't be made",
        "A large re-pricing kept this draft as what changes, and its answer can't be made at the "
        "amounts that were told: the service was upgraded before it was made. Re-price the quote "
        "once more, or withdraw the draft.",
        status=409,
    ),
    ProblemKind(
        "unknown-saved-quote",
        "There is no such saved quote",
        "No saved quote has this id. GET /v1/saved-quotes lists them; look one up by its "
        "reference with ?reference=.",
        status=404,
    ),
    ProblemKind(
        "unknown-quote-revision",
        "The saved quote has no such revision",
        "Revisions are numbered from 1; GET /v1/saved-quotes/{id}/revisions lists them, and "
        "`latest` is the newest one.",
        status=404,
    ),
    ProblemKind(
        "what-if-not-kept",
        "What each assumption is worth is not kept",
        "`what_if` says what other values would change at the prices of that moment; kept with a "
        "quote it would go stale. Leave it out of a quote that is saved, and ask POST /v1/quotes.",
    ),
    ProblemKind(
        "customer-missing",
        "The saved quote names no customer",
        "Nobody was named, or name and address were erased. PUT the customer to name one.",
        status=404,
    ),
    ProblemKind(
        "actuals-missing",
        "What the job took isn't known",
        "Nobody has said yet what the job took. PUT it beside the accepted revision.",
        status=404,
    ),
    ProblemKind(
        "state-not-allowed",
        "The quote can't come into this state",
        "A draft can be issued or withdrawn; an issued revision accepted, declined or "
        "withdrawn. Everything else is decided. GET the quote's state: `allowed` lists what may "
        "come next.",
        status=409,
    ),
    ProblemKind(
        "quote-expired",
        "The price held until an earlier day",
        "A quote holds until its `valid_until`. To accept one all the same say `after_expiry`, "
        "which is kept; `on` gives the day on which it was accepted, today where it is left "
        "out. To issue one whose time is over make a revision with a day of now.",
        status=409,
    ),
    ProblemKind(
        "after-expiry-misplaced",
        "`after_expiry` goes with accepting",
        "`after_expiry` accepts a quote whose price held until an earlier day. Leave it out of "
        "every other move.",
    ),
    ProblemKind(
        "quote-incomplete",
        "The quote is not complete",
        "A quote whose total leaves something out can't be issued, nor put on a customer's "
        "paper: `price.not_priced` of its "
        "answer says what and by which field. Make a revision that prices it, or set "
        "`materials_only`, which then stands in the title.",
        status=409,
    ),
    ProblemKind(
        "engineering-not-settled",
        "The engineer's work is not settled",
        "A quote with a failing check, or with a caution whose code begins `engineer-`, isn't "
        "issued before its request says in `engineering` how that is settled: `in_price` with a "
        "line for it, `by_owner`, or `not_needed` with the reason. Make a revision that does.",
        status=409,
    ),
    ProblemKind(
        "reference-exists",
        "The reference belongs to another saved quote",
        "A `reference` is unique in the store. The hint is the address of the quote that has "
        "it: make a revision of that one, or choose another reference.",
        status=409,
    ),
    ProblemKind(
        "revision-not-accepted",
        "The revision was not accepted",
        "What a job took stands beside the revision that the customer accepted.",
        status=409,
    ),
    ProblemKind(
        "amount-too-large",
        "An amount is too large to be kept",
        "Amounts are kept in whole minor units of the currency, up to "
        "9,223,372,036,854,775,807. Look for a unit cost or a length with too many digits.",
    ),
)
