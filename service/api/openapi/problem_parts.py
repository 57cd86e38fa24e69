"""What refusals look like in the document: the problem document, an answer for each status, and
the headers of all answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from service.api.operation import JsonSchema
from service.api.parameters import text
from service.api.problems import MAX_ERRORS, ParameterFault, problem_document
from service.core.errors import MOST_FAULTS, Fault

_CODE: JsonSchema = {"type": "string", "pattern": "^[a-z0-9]+(-[a-z0-9]+)*$", "maxLength": 80}
_PROBLEM: JsonSchema = {
    "type": "object",
    "title": "Problem",
    "description": "A problem document (RFC 9457); the one shape of every error.",
    "additionalProperties": False,
    "required": ["type", "title", "status", "detail", "instance", "code", "errors", "errors_total"],
    "properties": {
        "type": {
            **text(1, 100),
            "description": "`/problems/{code}`; a page for people stands there.",
        },
        "title": text(1, 200),
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "detail": text(1),
        "instance": {**text(0, 64), "description": "The request id, as in `X-Request-ID`."},
        "code": _CODE,
        "errors": {
            "type": "array",
            "maxItems": MAX_ERRORS,
            "items": {"$ref": "#/components/schemas/ProblemEntry"},
        },
        "errors_total": {
            "type": "integer",
            "minimum": 0,
            "maximum": MOST_FAULTS,
            "description": "How many faults were found; `errors` holds the first of them. "
            f"{MOST_FAULTS} says that there are so many or more: they are counted no further.",
        },
    },
}
_ENTRY: JsonSchema = {
    "type": "object",
    "title": "ProblemEntry",
    "description": "One fault of a request.",
    "additionalProperties": False,
    "required": ["pointer", "message", "code", "hint"],
    "properties": {
        "pointer": {**text(), "description": "Where it is in the body: a JSON Pointer (RFC 6901)."},
        "parameter": {
            **text(),
            "description": "The parameter of path, query or head; empty where it has no name.",
        },
        "message": text(1),
        "code": _CODE,
        "hint": {
            "type": ["string", "null"],
            "maxLength": 400,
            "description": "What would be right.",
        },
    },
}
PROBLEM_SCHEMAS: Mapping[str, JsonSchema] = MappingProxyType(
    {"Problem": _PROBLEM, "ProblemEntry": _ENTRY}
)


@dataclass(frozen=True, slots=True)
class ProblemPart:
    """The answer of one status: its name among the parts, the code that it shows, what it means."""

    name: str
    code: str
    description: str
    headers: tuple[str, ...] = ()


PROBLEMS: Mapping[int, ProblemPart] = MappingProxyType(
    {
        400: ProblemPart("RequestMalformed", "request-malformed", "The request can't be read."),
        401: ProblemPart(
            "KeyInvalid",
            "key-invalid",
            "No key that is good was shown. Until the first one is made none is asked for.",
            ("WWW-Authenticate",),
        ),
        403: ProblemPart(
            "Refused",
            "scope-missing",
            "The key is not for this, or the host name or the origin is refused.",
        ),
        404: ProblemPart("NotFound", "not-found", "There is no such thing."),
        406: ProblemPart("NotAcceptable", "not-acceptable", "No form of the answer fits `Accept`."),
        409: ProblemPart(
            "Conflict", "idempotency-key-running", "What is stored stands against it."
        ),
        410: ProblemPart(
            "EventsGone", "events-gone", "What comes after `after` can't be told without a gap."
        ),
        412: ProblemPart(
            "PreconditionFailed",
            "precondition-failed",
            "Somebody was first: the state is not the one in `If-Match`.",
        ),
        413: ProblemPart(
            "BodyTooLarge",
            "body-too-large",
            "The body is larger than is read; JSON may have 1 MiB.",
        ),
        415: ProblemPart(
            "MediaTypeUnsupported",
            "media-type-unsupported",
            "The body is not declared as one of its types.",
        ),
        422: ProblemPart(
            "RequestInvalid", "parameter-invalid", "The request has faults; `errors` lists them."
        ),
        428: ProblemPart(
            "PreconditionRequired", "precondition-required", "`If-Match` is missing, or is `*`."
        ),
        429: ProblemPart(
            "TooManyRequests",
            "rate-limited",
            "Too many requests; `Retry-After` says how long to wait.",
            ("Retry-After",),
        ),
        431: ProblemPart(
            "HeadTooLarge", "head-too-large", "The head of the request is larger than 16 KiB."
        ),
        500: ProblemPart(
            "ServiceFailed",
            "internal-error",
            "The service failed; the log has an entry under the request id.",
        ),
        503: ProblemPart(
            "StorageUnavailable",
            "storage-unavailable",
            "The database can't be reached, is held by others or can't be written to; `code` says "
            "which, `Retry-After` when to ask again.",
            ("Retry-After",),
        ),
        507: ProblemPart("StorageFull", "storage-full", "The database has no room left."),
    }
)
# Of all operations the query parameters are refused alike; faults of a body are its own examples.
_FAULTS: Mapping[int, tuple[Fault, ...]] = MappingProxyType(
    {
        422: (
            ParameterFault(
                code="parameter-invalid",
                at=(),
                parameter="limit",
                message='limit: "all" is not a whole number from 1 to 200',
                hint="such as 50",
            ),
        )
    }
)
HEADERS: Mapping[str, JsonSchema] = MappingProxyType(
    {
        "ETag": {"description": "Strong; from the content.", "schema": text(3, 100)},
        "Location": {"description": "Address of what was made.", "schema": text(1, 200)},
        "Idempotent-Replayed": {
            "description": "`true` where this is the outcome of an earlier call with the same key.",
            "schema": {"type": "string", "enum": ["true"]},
        },
        "Retry-After": {"description": "Seconds to wait.", "schema": text(1, 10)},
        "WWW-Authenticate": {
            "description": "How to show a key (RFC 6750).",
            "schema": {"type": "string", "enum": ["Bearer"]},
        },
        "Preference-Applied": {"description": "As in `Prefer`.", "schema": text(1, 100)},
    }
)


def problem_example(status: int) -> JsonSchema:
    """The problem that a status shows where the operation has none of its own."""
    return problem_document(
        PROBLEMS[status].code, _FAULTS.get(status, ()), status=status, instance="example"
    )
