"""How the engineer's work is settled, as a request writes it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import Field
from pydantic_core import PydanticCustomError

from service.core.job.terms import Engineering, Settled
from service.fields import LongText, refused
from service.operations.ruled import RuledModel


class EngineeringRequest(RuledModel):
    """Needed to issue what fails a check or calls for an engineer."""

    settled: Settled = Field(description="By whom, or that nobody need.")
    because: LongText | None = Field(None, description="Why; needed with `not_needed`.")

    @classmethod
    def rules(cls, document: Mapping[str, Any]) -> Iterator[PydanticCustomError]:
        """Who says that no engineer is needed says why."""
        if document.get("settled") == "not_needed" and document.get("because") is None:
            message = "not_needed needs because: why no engineer is needed"
            hint = 'such as "the building department waived it on 4 May"'
            yield refused("engineering-unexplained", message, hint, at=("because",))

    def to_core(self) -> Engineering:
        """The core's word on it."""
        return Engineering(settled=self.settled, because=self.because)
