"""An event as it is told, alike to whoever asks and to whoever is sent it."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta, Struct

from service.operations.answer_figures import Instant
from service.operations.saved.saved_quote_answer import instant


class WebhookMessage(Struct, frozen=True):
    """Something that changed. `by` is who changed it: the id of a key, `loopback`, `link`,
    `website` or `command-line`. `data` has ids, revisions, states and addresses, never a cost, a
    name or where somebody lives."""

    id: Annotated[
        str,
        Meta(
            pattern="^[0-9a-z_]+$",
            description="A number, one more than that of the event before; of a test its own.",
        ),
    ]
    type: str
    timestamp: Instant
    by: str
    data: Annotated[msgspec.Raw, Meta(extra_json_schema={"type": "object"})]


def webhook_message(
    number: str, type_: str, recorded_at: int, by: str, data: str
) -> WebhookMessage:
    """An event by the columns of its row; `data` is JSON."""
    held = msgspec.Raw(data.encode("utf-8"))
    return WebhookMessage(id=number, type=type_, timestamp=instant(recorded_at), by=by, data=held)
