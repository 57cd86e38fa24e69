"""Keys, and webhooks: what can't be made, changed or ended, where nothing is sent to."""

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
        "link-option-unused",
        "The paper of a link has no use for an option",
        "`detail` is for a `customer_quote`, `supplier` for a `supplier_order`. Other papers show "
        "no price and no supplier.",
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
    ProblemKind(
        "target-refused",
        "Nothing is sent to this address",
        "Messages go to https:// addresses of the public net, on port 443 or 8443, without user "
        "or fragment. Whoever runs the service can name a receiver inside, host and port, with "
        "SERVICE_WEBHOOK_TARGETS.",
    ),
    ProblemKind(
        "unknown-webhook",
        "There is no such webhook",
        "There is no webhook with this id; it may have been ended. GET /v1/webhooks lists all of "
        "them.",
        status=404,
    ),
    ProblemKind(
        "unknown-delivery",
        "There is no such delivery",
        "The webhook has no delivery with this id; they are kept for 30 days. Look at "
        "GET /v1/webhooks/{id}/deliveries.",
        status=404,
    ),
)
