"""A body as JSON text."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "json-invalid",
        "The body is not JSON",
        "The body can't be read as JSON text; `detail` says what was found, and where.",
        status=400,
    ),
    ProblemKind(
        "json-encoding",
        "The body is not UTF-8",
        "Send JSON in UTF-8 without a byte order mark.",
        status=400,
    ),
    ProblemKind(
        "json-duplicate-key",
        "A key is given twice",
        "An object gives the same key twice, so it can't be known which value is meant.",
        status=400,
    ),
    ProblemKind(
        "json-number",
        "A number can't be read exactly",
        "NaN, Infinity, numbers beyond all measure and numbers of more than 18 digits are refused.",
        status=400,
    ),
    ProblemKind(
        "json-text",
        "A text holds characters that are no text",
        "A text holds half of a surrogate pair or the character U+0000.",
        status=400,
    ),
    ProblemKind(
        "json-too-deep",
        "The body is nested too deeply",
        "A body may be nested 32 levels deep; no resource needs more than ten.",
        status=400,
    ),
)
