"""One field, whatever it means: its type, its form, its bounds; and whole requests with faults."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "request-invalid",
        "The request has faults",
        "The body is JSON, but not what the resource takes. `errors` lists every fault found in "
        "one pass, each with a pointer to its place, a code of its own and what would be right.",
    ),
    ProblemKind(
        "field-missing",
        "A required field is missing",
        "The pointer says where the field belongs.",
    ),
    ProblemKind(
        "unknown-key",
        "A key is not known",
        "Unknown keys are refused, so that a misspelt one can't go unnoticed. The hint names "
        "the nearest known key.",
    ),
    ProblemKind(
        "wrong-type",
        "A value is of the wrong type",
        "The message says what was found; the hint, what is needed.",
    ),
    ProblemKind(
        "null-not-read",
        "A key is null",
        "null says nothing here: leave the key out, and the service uses its default.",
    ),
    ProblemKind(
        "unknown-choice",
        "A word is not one of the choices",
        "The hint lists the choices.",
    ),
    ProblemKind(
        "too-long",
        "A text or a list is too long",
        "The message gives the bound.",
    ),
    ProblemKind(
        "too-short",
        "A text or a list is too short",
        "The message gives the bound.",
    ),
    ProblemKind(
        "out-of-range",
        "A value is out of range",
        "The message gives the bounds.",
    ),
    ProblemKind(
        "id-invalid",
        "An id is not valid",
        "Ids have 1 to 64 lower-case letters, digits and underscores.",
    ),
    ProblemKind(
        "text-invalid",
        "A text is not valid",
        "Control characters are refused in texts.",
    ),
    ProblemKind(
        "date-invalid",
        "A date is not valid",
        "Dates are text such as 2026-05-04 (ISO 8601).",
    ),
    ProblemKind(
        "decimal-invalid",
        "A decimal is not valid",
        'Money and ratios are decimals as text without an exponent, such as "0.05" or "120.00".',
    ),
    ProblemKind(
        "number-not-text",
        "A number stands where text is needed",
        'Money, ratios and measurements are texts: "0.05", "120.00", "4 ft 6 in". A JSON number '
        "is read in binary by many programs, and a bare number has no unit.",
    ),
    ProblemKind(
        "measurement-invalid",
        "A measurement can't be read",
        'A measurement is a text with a unit, such as "4 ft 6 in", "7 1/8 in", "1.2 m" or "100 '
        'psf", or an object {"value": "1.2", "unit": "m"}.',
    ),
    ProblemKind(
        "measurement-out-of-range",
        "A measurement is out of range",
        "The message gives the bounds of this field.",
    ),
    ProblemKind(
        "slope-invalid",
        "A slope can't be read",
        'Slopes are "3:1" (horizontal:vertical), "12 deg", "20 %" or "level".',
    ),
    ProblemKind(
        "value-invalid",
        "A value can't be read",
        "The message says what was found. Look the field up in /openapi.json.",
    ),
    ProblemKind(
        "share-not-meant",
        "A share is larger than anybody means",
        "Overhead, contingency, tax and waste are shares from 0 to 1, a markup from 0 to 3: 20 "
        "percent is written 0.20. From 5 on the hint is a hundredth of what was found.",
    ),
)
