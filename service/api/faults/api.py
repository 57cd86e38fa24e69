"""Transport, routing, limits, calls that store: what stands around the resources."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "request-malformed",
        "The request can't be read",
        "The head of the request contradicts itself or can't be read. Most HTTP libraries never "
        "send such a request; look for a header that was set by hand.",
        status=400,
    ),
    ProblemKind(
        "request-timeout",
        "The request did not come whole in time",
        "A head has to come whole within some seconds, and a body to come on. Send the request "
        "again, on a new connection.",
        status=408,
    ),
    ProblemKind(
        "busy",
        "The service has its hands full",
        "More is asked for at once than it takes on. Send the call again after the seconds that "
        "Retry-After gives, with its Idempotency-Key if it stores.",
        status=503,
    ),
    ProblemKind(
        "calculation-stopped",
        "The calculation took too long and was stopped",
        "It took several times as long as such a request takes, so the machine has more to do "
        "than it can. Send the call again after the seconds that Retry-After gives, or ask for "
        "less at a time: fewer walls, profile entries, survey points or alternatives. Whoever "
        "runs the service can give it longer with SERVICE_CALCULATION_DEADLINE.",
        status=503,
    ),
    ProblemKind(
        "key-invalid",
        "This takes a key",
        "The call shows no key that is good: none was sent, or one that is unknown, ended, "
        "expired or mistyped. Send it as Authorization: Bearer and the key, once. Whoever runs "
        "the service makes keys with `python -m service keys new`.",
        status=401,
    ),
    ProblemKind(
        "scope-missing",
        "The key is not for this",
        "Each key is for some scopes: field (no money), quotes, prices, admin, or website alone. "
        "Detail says which one this takes. Whoever keeps the keys can make one for it.",
        status=403,
    ),
    ProblemKind(
        "key-needed",
        "This can't be done without keys",
        "The service has no keys yet and answers only programs on its own machine: nothing that "
        "comes through a proxy, and it makes no keys over HTTP. Make the first one for the scope "
        "admin on that machine: `python -m service keys new --name office --scope admin`.",
        status=403,
    ),
    ProblemKind(
        "secret-file-unusable",
        "Secrets can't be kept or read",
        "The file with the key by which secrets are kept can't be made or read, or holds another "
        "key. The service's log says which file; its place is set by SERVICE_SECRET_FILE.",
        status=503,
    ),
    ProblemKind(
        "host-refused",
        "This host name is not served here",
        "Without API keys the service answers only to the names of this machine (localhost, "
        "127.0.0.1, [::1]), so that a page in a browser can't reach it under another name. "
        "Whoever runs the service can allow a further name with SERVICE_ALLOWED_HOSTS.",
        status=403,
    ),
    ProblemKind(
        "origin-refused",
        "Pages of other origins may not call this service",
        "The request comes from a web page of another origin. Without a key the service answers "
        "programs and its own pages alone, and a website's key holds for the origins it was made "
        "for. Call it from a program or through your own server, or make a key with the origin. "
        "Where it is the service's own page behind a proxy, SERVICE_PUBLIC_URL says its address.",
        status=403,
    ),
    ProblemKind(
        "events-gone",
        "What comes after that event can't be told",
        "Events are kept for 400 days unless SERVICE_EVENT_DAYS says otherwise, and who asks later "
        "has missed some; or the event is none of this database, which was put back from a copy. "
        "Read what you keep a copy of anew, such as GET /v1/saved-quotes, and go on with "
        "GET /v1/events without `after`.",
        status=410,
    ),
    ProblemKind(
        "not-found",
        "Nothing stands at this address",
        "The path is not one of the service's. /openapi.json and /docs list them all; there are "
        "no trailing slashes.",
        status=404,
    ),
    ProblemKind(
        "method-not-allowed",
        "This address does not know the method",
        "The address exists, but not for this method. The header Allow names those it has.",
        status=405,
    ),
    ProblemKind(
        "not-acceptable",
        "No form of the answer fits Accept",
        "The header Accept asks for a media type this address does not offer. Send `Accept: "
        "application/json`, or leave it out. Problems are application/problem+json.",
        status=406,
    ),
    ProblemKind(
        "body-too-large",
        "The body is too large",
        "A JSON body may have 1 MiB at most, a file 16 MiB, a page's form 64 KiB. Split the work "
        "into several requests.",
        status=413,
    ),
    ProblemKind(
        "media-type-unsupported",
        "The body's media type is not supported",
        "Send JSON as `Content-Type: application/json`, in UTF-8, without Content-Encoding. A "
        "price file is text/csv or "
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.",
        status=415,
    ),
    ProblemKind(
        "rate-limited",
        "Too many requests",
        "Wait for the seconds that Retry-After gives, then try again.",
        status=429,
    ),
    ProblemKind(
        "head-too-large",
        "The head of the request is too large",
        "The address and the headers of a request may have 16 KiB together.",
        status=431,
    ),
    ProblemKind(
        "internal-error",
        "The service failed",
        "A fault of the service, not of the request. The log has an entry under the request id "
        "that stands in `instance`; hand that id to whoever runs the service.",
        status=500,
    ),
    ProblemKind(
        "idempotency-key-invalid",
        "The Idempotency-Key can't be read",
        'An Idempotency-Key is a text in quotes, such as "8f14e45f-ceea", of 1 to 255 visible '
        "characters, given once.",
        status=400,
    ),
    ProblemKind(
        "idempotency-key-running",
        "The call with this key is still running",
        "A call with the same Idempotency-Key is under way. Wait for the seconds that "
        "Retry-After gives and send it again: it will be answered with what the first one came "
        "to.",
        status=409,
    ),
    ProblemKind(
        "precondition-failed",
        "Somebody was first",
        "What you want to change is no longer what you read, so nothing was stored and nothing "
        "of yours or theirs is lost. Read it again, look at what changed, and send your change "
        "with the new ETag in If-Match.",
        status=412,
    ),
    ProblemKind(
        "idempotency-key-reused",
        "The Idempotency-Key came before with another body",
        "A key names one call for 24 hours. Send a new key with a new call.",
    ),
    ProblemKind(
        "precondition-required",
        "If-Match names no state",
        "A change names the state it changes: send the ETag of what you read as If-Match, or "
        "`If-None-Match: *` where there is nothing yet. `If-Match: *` names none. So two people "
        "can't write over each other.",
        status=428,
    ),
    ProblemKind(
        "not-ready",
        "The service can't answer now",
        "Something that it needs isn't there. A key with the scope `admin` is told by "
        "/health/ready what; the service's log says it too. When it is over this says so by "
        "itself.",
        status=503,
    ),
    ProblemKind(
        "storage-unavailable",
        "The database can't be reached",
        "Nothing was stored. Wait for the seconds that Retry-After gives and send the call "
        "again, with its Idempotency-Key. Quotes that name a price list of the catalog, or "
        "bring their costs, need no database.",
        status=503,
    ),
    ProblemKind(
        "storage-busy",
        "The database is held by others",
        "Another writer holds the database, or too many calls wait for it. Nothing was stored. "
        "Wait for the seconds that Retry-After gives and send the call again, with its "
        "Idempotency-Key.",
        status=503,
    ),
    ProblemKind(
        "storage-read-only",
        "The database can't be written to",
        "Nothing was stored; what is there can still be read. Whoever runs the service has to "
        "give it leave to write, or name a server that is no standby.",
        status=503,
    ),
    ProblemKind(
        "storage-moved",
        "The database's file is gone",
        "Its file, or the log beside it, was deleted or replaced while the service runs, so "
        "nothing was stored: it would have gone with the old one. Whoever runs the service has to "
        "put a copy made by `db backup` in the file's place, or start the service again; the "
        "service's log says more.",
        status=503,
    ),
    ProblemKind(
        "storage-behind",
        "The database is that of another version",
        "Its tables are not those that this version of the service works with. Whoever runs the "
        "service has to start it again, which brings older tables to it, or start the newer "
        "version.",
        status=503,
    ),
    ProblemKind(
        "storage-damaged",
        "The database is damaged",
        "What is there is no database of this service, or can't be read whole. Whoever runs the "
        "service has to restore it from a copy made by `db backup`.",
        status=503,
    ),
    ProblemKind(
        "storage-full",
        "The database has no room left",
        "Nothing was stored; what is there can still be read. Whoever runs the service has to "
        "make room on its disk.",
        status=507,
    ),
    ProblemKind(
        "parameter-invalid",
        "A query parameter is not valid",
        "A parameter behind the `?` is unknown, given twice or has an unusable value. Lists "
        "take `limit` (1 to 200) and `cursor` (from `next` of the page before).",
    ),
    ProblemKind(
        "unknown-document-kind",
        "There is no such kind of document",
        "The kinds are those that the address takes: `/openapi.json` lists them.",
        status=404,
    ),
)
