"""Keys: what can't be made, changed or ended."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "scope-not-combined",
        "A key for a website is for nothing else",
        "A key with the scope website stands in a public page, where anybody can read it. It "
        "names a website and origins, and has no other scope; other keys have neither.",
    ),
    ProblemKind(
        "unknown-api-key",
        "There is no such key",
        "No key has this id. GET /v1/api-keys lists them, those that have ended too.",
        status=404,
    ),
    ProblemKind(
        "api-key-ended",
        "The key has ended",
        "A key that has ended or expired stays so; it gets no new secret. Make a new key.",
        status=409,
    ),
    ProblemKind(
        "api-key-expired",
        "The key would never be good",
        "The last day of a new key is over. Days end at midnight in the time zone of the service.",
        status=409,
    ),
    ProblemKind(
        "link-not-allowed",
        "No link is made to this revision",
        "A customer is shown an issued revision: issue the draft first, or make a revision where "
        "this one is decided. Other papers are shown of every revision that isn't superseded or "
        "withdrawn.",
        status=409,
    ),
    ProblemKind(
        "unknown-link",
        "The revision has no such link",
        "GET /v1/saved-quotes/{id}/revisions/{revision}/links lists a revision's links with their "
        "ids. The id is no part of a link's address.",
        status=404,
    ),
    ProblemKind(
        "acceptance-kept",
        "A customer's yes is kept with this quote",
        "The customer accepted by a link: erasing takes name and shown paper out of what is kept "
        "of that, and leaves its digest, moment and sum. Where that may be, ask again with "
        "`?with_acceptance=true`.",
        status=409,
    ),
)
