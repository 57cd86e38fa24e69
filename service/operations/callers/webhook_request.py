"""What callers say of webhooks."""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import Annotated

from pydantic import Field

from service.core.errors import Fault, QuoteFaultsError
from service.fields import PlainText, StrictModel
from service.sending.targets import MOST_CHARACTERS, TargetRefusedError, read_target
from service.storage.events import EventType

_SECONDS_A_DAY = 86_400

TargetUrl = Annotated[
    str,
    PlainText(
        "text-invalid",
        f"an address of at most {MOST_CHARACTERS} characters",
        f"^[^\\x00-\\x1f\\x7f]{{1,{MOST_CHARACTERS}}}$",
        MOST_CHARACTERS,
        "https://crm.example/hooks/quotes",
    ),
]
Overlap = Annotated[
    str,
    PlainText("text-invalid", "0 to 30 days", "^(?:[0-9]|[12][0-9]|30)d$", 3, "7d"),
]


class WebhookRequest(StrictModel):
    """Where events are sent, and which."""

    url: TargetUrl = Field(
        description="https, port 443 or 8443, on an address of the public net; whoever runs the "
        "service may name others."
    )
    types: tuple[EventType, ...] = Field(
        strict=False, min_length=1, max_length=50, description="Types of events."
    )


class SecretRotation(StrictModel):
    """How long messages are signed with the old secret as well."""

    overlap: Overlap = Field("7d", description="Days; `0d` ends the old one at once.")

    def seconds(self) -> int:
        """The overlap in seconds."""
        return int(re.sub("d$", "", self.overlap)) * _SECONDS_A_DAY


def check_target(url: str, allowed: Collection[str]) -> None:
    """See that a target isn't inside, as far as its address shows. Raises QuoteFaultsError."""
    try:
        read_target(url, allowed)
    except TargetRefusedError as error:
        fault = Fault(
            code="target-refused",
            at=("url",),
            message=f"url: {error}",
            hint="such as https://crm.example/hooks/quotes",
        )
        raise QuoteFaultsError((fault,)) from error
