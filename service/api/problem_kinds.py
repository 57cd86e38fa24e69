"""Every problem code the service answers with: its status, its title, and what to do about it.

A fault in a request has a code of its own; when all faults of a request share one, that is the
problem's code as well. So every fault code stands here too, and each has a page for people at
`/problems/{code}`. A code, once published, keeps its meaning.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from service.api.earth_fault_kinds import GRADING, GROUND
from service.api.fault_kinds import FILES, LAYOUT, PRICE, PUBLISHED, REQUEST, SHAPE
from service.api.load_fault_kinds import LOADS
from service.api.machine_fault_kinds import MACHINES
from service.api.repricing_fault_kinds import REFUSED, REPRICING
from service.api.saved_problem_kinds import SAVED_QUOTES


@dataclass(frozen=True, slots=True)
class ProblemKind:
    """One kind of problem. `status` is the usual HTTP status; `explanation` is for people."""

    code: str
    status: int
    title: str
    explanation: str


# What stands around the resources: transport, routing, limits.
_FRONT = (
    ProblemKind(
        "request-malformed",
        400,
        "The request can't be read",
        "The head of the request contradicts itself or can't be read. Most HTTP libraries never "
        "send such a request; look for a header that was set by hand.",
    ),
    ProblemKind(
        "host-refused",
        403,
        "This host name is not served here",
        "Without API keys the service answers only to the names of this machine (localhost, "
        "127.0.0.1, [::1]), so that a page in a browser can't reach it under another name. Whoever "
        "runs the service can allow a further name with SERVICE_ALLOWED_HOSTS.",
    ),
    ProblemKind(
        "origin-refused",
        403,
        "Pages of other origins may not call this service",
        "The request comes from a web page of another origin. Without API keys the service answers "
        "only programs and its own pages. Call it from a program or through your own server.",
    ),
    ProblemKind(
        "not-found",
        404,
        "Nothing stands at this address",
        "The path is not one of the service's. /openapi.json and /docs list them all; there are no "
        "trailing slashes.",
    ),
    ProblemKind(
        "method-not-allowed",
        405,
        "This address does not know the method",
        "The address exists, but not for this method. The header Allow names those it has.",
    ),
    ProblemKind(
        "not-acceptable",
        406,
        "No form of the answer fits Accept",
        "The header Accept asks for a media type this address does not offer. Send "
        "`Accept: application/json`, or leave it out. Problems are application/problem+json.",
    ),
    ProblemKind(
        "body-too-large",
        413,
        "The body is too large",
        "A JSON body may have 1 MiB at most, a file 16 MiB. Split the work into several requests.",
    ),
    ProblemKind(
        "media-type-unsupported",
        415,
        "The body's media type is not supported",
        "Send JSON as `Content-Type: application/json`, in UTF-8, without Content-Encoding. A "
        "price file is text/csv or application/vnd.openxmlformats-officedocument.spreadsheetml"
        ".sheet.",
    ),
    ProblemKind(
        "too-many-requests",
        429,
        "Too many requests",
        "Wait for the seconds that Retry-After gives, then try again.",
    ),
    ProblemKind(
        "head-too-large",
        431,
        "The head of the request is too large",
        "The address and the headers of a request may have 16 KiB together.",
    ),
    ProblemKind(
        "internal-error",
        500,
        "The service failed",
        "A fault of the service, not of the request. The log has an entry under the request id "
        "that stands in `instance`; hand that id to whoever runs the service.",
    ),
)

# Calls that store: their keys, their conditions, and the database.
_STORING = (
    ProblemKind(
        "idempotency-key-invalid",
        400,
        "The Idempotency-Key can't be read",
        'An Idempotency-Key is a text in quotes, such as "8f14e45f-ceea", of 1 to 255 visible '
        "characters, given once.",
    ),
    ProblemKind(
        "idempotency-key-running",
        409,
        "The call with this key is still running",
        "A call with the same Idempotency-Key is under way. Wait for the seconds that Retry-After "
        "gives and send it again: it will be answered with what the first one came to.",
    ),
    ProblemKind(
        "precondition-failed",
        412,
        "Somebody was first",
        "What you want to change is no longer what you read, so nothing was stored and nothing of "
        "yours or theirs is lost. Read it again, look at what changed, and send your change with "
        "the new ETag in If-Match.",
    ),
    ProblemKind(
        "idempotency-key-reused",
        422,
        "The Idempotency-Key came before with another body",
        "A key names one call for 24 hours. Send a new key with a new call.",
    ),
    ProblemKind(
        "precondition-required",
        428,
        "If-Match is missing",
        "A change names the state it changes: send the ETag of what you read as If-Match, or "
        "`If-None-Match: *` where there is nothing yet. So two people can't write over each other.",
    ),
    ProblemKind(
        "storage-unavailable",
        503,
        "The database can't be reached",
        "Nothing was stored. Wait for the seconds that Retry-After gives and send the call again, "
        "with its Idempotency-Key. Quotes that name a price list of the catalog, or bring their "
        "costs, need no database.",
    ),
    ProblemKind(
        "storage-full",
        507,
        "The database has no room left",
        "Nothing was stored; what is there can still be read. Whoever runs the service has to make "
        "room on its disk.",
    ),
)

_PRICE_LISTS = (
    ProblemKind(
        "price-list-in-catalog",
        409,
        "The price list is a file of the catalog",
        "A price list that stands in a catalog file is changed there, with a higher revision, and "
        "loaded by POST /v1/catalog/reload. To publish here, choose another id.",
    ),
    ProblemKind(
        "unknown-column-mapping",
        404,
        "No column mapping is saved",
        "For this price list nobody has saved how a supplier's file is read. PUT one, or name the "
        "columns of the file like the keys of a price: item, unit_cost, per.",
    ),
    ProblemKind(
        "changed-since-preview",
        409,
        "Something changed since the preview",
        "What would be written now is not what the preview showed, so nothing was written. Make a "
        "new preview, look at it, and write that one.",
    ),
)

# A body as JSON text.
_JSON = (
    ProblemKind(
        "json-invalid",
        400,
        "The body is not JSON",
        "The body can't be read as JSON text; `detail` says what was found, and where.",
    ),
    ProblemKind(
        "json-encoding",
        400,
        "The body is not UTF-8",
        "Send JSON in UTF-8 without a byte order mark.",
    ),
    ProblemKind(
        "json-duplicate-key",
        400,
        "A key is given twice",
        "An object gives the same key twice, so it can't be known which value is meant.",
    ),
    ProblemKind(
        "json-number",
        400,
        "A number can't be read exactly",
        "NaN, Infinity, numbers beyond all measure and numbers of more than 18 digits are refused.",
    ),
    ProblemKind(
        "json-text",
        400,
        "A text holds characters that are no text",
        "A text holds half of a surrogate pair or the character U+0000.",
    ),
    ProblemKind(
        "json-too-deep",
        400,
        "The body is nested too deeply",
        "A body may be nested 32 levels deep; no resource needs more than ten.",
    ),
)

# Faults of shape, of units, and of parameters.
_SHAPE = (
    ProblemKind(
        "request-invalid",
        422,
        "The request has faults",
        "The body is JSON, but not what the resource takes. `errors` lists every fault found in "
        "one pass, each with a pointer to its place, a code of its own and what would be right.",
    ),
    ProblemKind(
        "parameter-invalid",
        422,
        "A query parameter is not valid",
        "A parameter behind the `?` is unknown, given twice or has an unusable value. Lists "
        "take `limit` (1 to 200) and `cursor` (from `next` of the page before).",
    ),
)

# Unknown catalog entries. In a path the status is 404, in a body 422.
_UNKNOWN = tuple(
    ProblemKind(
        f"unknown-{kind}",
        422,
        f"There is no such {words}",
        f"There is no {words} with this id. The message or the hint names the nearest known one."
        + (f" GET {path} lists all of them." if path else ""),
    )
    for kind, words, path in (
        ("wall-system", "wall system", "/v1/wall-systems"),
        ("section", "typical section", "/v1/sections"),
        ("soil", "soil", "/v1/soils"),
        ("material", "material", "/v1/materials"),
        ("production-rates", "set of production rates", "/v1/production-rates"),
        ("site-work", "task of site work", "/v1/site-work"),
        ("terms", "set of terms", "/v1/terms"),
        ("screening-basis", "rule book of screening", "/v1/screening-bases"),
        ("load", "load", "/v1/loads"),
        ("jurisdiction", "jurisdiction", "/v1/jurisdictions"),
        ("price-list", "price list", "/v1/price-lists"),
        ("revision", "revision of the price list", ""),
    )
)

_CATALOG = (
    ProblemKind(
        "catalog-invalid",
        422,
        "The catalog on disk has faults",
        "Nothing was loaded: the catalog stays as it was. `errors` names file and key, what was "
        "found and what would be right; `python -m service catalog check` prints the same list.",
    ),
)

_SAVED = tuple(
    ProblemKind(kind.code, kind.status, kind.title, kind.explanation) for kind in SAVED_QUOTES
)
_REPRICING = tuple(
    ProblemKind(code, status, title, explanation) for status, code, title, explanation in REFUSED
)

_FAULTS = tuple(
    ProblemKind(fault.code, 422, fault.title, fault.explanation)
    for fault in (
        *SHAPE,
        *REQUEST,
        *GROUND,
        *GRADING,
        *MACHINES,
        *LOADS,
        *LAYOUT,
        *PRICE,
        *PUBLISHED,
        *FILES,
        *REPRICING,
    )
)

_ALL = (
    *_FRONT,
    *_STORING,
    *_PRICE_LISTS,
    *_SAVED,
    *_JSON,
    *_SHAPE,
    *_UNKNOWN,
    *_CATALOG,
    *_REPRICING,
    *_FAULTS,
)
KINDS: Mapping[str, ProblemKind] = MappingProxyType({kind.code: kind for kind in _ALL})
