"""A caution as it is answered."""

from __future__ import annotations

from msgspec import UNSET

from service.core.cautions.caution import Caution
from service.operations.quoting.answer import CautionAnswer
from service.operations.quoting.sentences import for_reading


def caution_answer(caution: Caution) -> CautionAnswer:
    """A caution as it is answered."""
    return CautionAnswer(
        code=caution.code,
        severity=caution.severity,
        text=for_reading(caution.text),
        source=caution.source,
        walls=caution.walls or UNSET,
    )
