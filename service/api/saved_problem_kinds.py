"""Problems of saved quotes: code, status, title, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RefusalKind:
    """One way in which a saved quote refuses what is asked, for people."""

    code: str
    status: int
    title: str
    explanation: str


SAVED_QUOTES: tuple[RefusalKind, ...] = (
    RefusalKind(
        "unknown-saved-quote",
        404,
        "There is no such saved quote",
        "No saved quote has this id. GET /v1/saved-quotes lists them; look one up by its "
        "reference with ?reference=.",
    ),
    RefusalKind(
        "unknown-quote-revision",
        404,
        "The saved quote has no such revision",
        "Revisions are numbered from 1; GET /v1/saved-quotes/{id}/revisions lists them, and "
        "`latest` is the newest one.",
    ),
    RefusalKind(
        "customer-missing",
        404,
        "The saved quote names no customer",
        "Nobody was named, or name and address were erased. PUT the customer to name one.",
    ),
    RefusalKind(
        "actuals-missing",
        404,
        "What the job took isn't known",
        "Nobody has said yet what the job took. PUT it beside the accepted revision.",
    ),
    RefusalKind(
        "state-not-allowed",
        409,
        "The quote can't come into this state",
        "A draft can be issued or withdrawn; an issued revision accepted, declined or withdrawn. "
        "Everything else is decided. GET the quote's state: `allowed` lists what may come next.",
    ),
    RefusalKind(
        "quote-incomplete",
        409,
        "The quote is not complete",
        "A quote whose total leaves something out can't be issued: `price.not_priced` of its "
        "answer says what and by which field. Make a revision that prices it, or set "
        "`materials_only`, which then stands in the title.",
    ),
    RefusalKind(
        "reference-exists",
        409,
        "The reference belongs to another saved quote",
        "A `reference` is unique in the store. The hint is the address of the quote that has it: "
        "make a revision of that one, or choose another reference.",
    ),
    RefusalKind(
        "revision-not-accepted",
        409,
        "The revision was not accepted",
        "What a job took stands beside the revision that the customer accepted.",
    ),
)
