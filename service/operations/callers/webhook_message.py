"""What webhooks are sent: an event as it is told to whoever asks, or a test."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta, Struct

from service.operations.answer_figures import Instant
from service.operations.callers.event_list import Told


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
    data: dict[str, Told]


def told_of(webhook_id: str, public_url: str = "") -> dict[str, Told]:
    """What is told of a webhook: never its address, which may hold a secret of the receiver's."""
    return {"webhook": webhook_id, "links": {"webhook": f"{public_url}/v1/webhooks/{webhook_id}"}}
