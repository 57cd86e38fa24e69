"""Engineering settled before a quote goes out: read from the answer as it is kept, of any version.

Answers of earlier versions say nothing of how it is settled, and the first ones have no checks.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec

from service.core.engineering import ENGINEER
from service.core.errors import QuoteRefusedError

_DECODER = msgspec.json.Decoder()


class EngineeringNotSettledError(QuoteRefusedError):
    """A quote that calls for an engineer goes out only when that is settled."""

    code = "engineering-not-settled"

    def __init__(self, number: int, reasons: tuple[str, ...]) -> None:
        self.reasons = reasons
        super().__init__(
            f"Revision {number} calls for an engineer: {'; '.join(reasons)}. Make a revision whose "
            "request says how that is settled: engineering."
        )


def check_settled(number: int, answer: bytes) -> None:
    """Raises EngineeringNotSettledError for a kept answer with a failing check, or with a caution
    that calls for an engineer, that doesn't say how the engineering is settled."""
    document: dict[str, Any] = _DECODER.decode(answer)
    reasons = tuple(dict.fromkeys(_reasons(document)))
    if reasons and "engineering" not in document:
        raise EngineeringNotSettledError(number, reasons)


def _reasons(document: dict[str, Any]) -> Iterator[str]:
    """What calls for an engineer, in words."""
    for check in document.get("checks", ()):
        if check["status"] == "fail":
            yield f"{check['check']} of {check['wall']} fails"
    for caution in document.get("cautions", ()):
        if caution["code"].startswith(ENGINEER):
            yield f"caution {caution['code']}"
