"""Webhooks and deliveries as they are answered. A secret is shown once, when it is made."""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec
from msgspec import UNSET, Meta, Struct, UnsetType

from service.operations.answer_figures import EntryId, Instant
from service.operations.conditions import content_digest, etag_of
from service.operations.saved.saved_quote_answer import instant
from service.storage.webhook_deliveries import Delivery
from service.storage.webhooks import Webhook

Secret = Annotated[
    str,
    Meta(
        pattern="^whsec_[A-Za-z0-9+/=]+$",
        description="By which messages are signed; shown this once.",
    ),
]
SecretShown = Annotated[
    bool,
    Meta(description="In an answer that is repeated: the secret was shown by the first one."),
]


class SwitchedOff(Struct, frozen=True):
    """Since when nothing is sent, and why: the receiver said it is `gone` for good (410), or
    nothing was taken for five days (`failing`)."""

    at: Instant
    why: Literal["gone", "failing"]


class WebhookAnswer(Struct, frozen=True):
    """Where events are sent, and which. `old_secret_until`: so long messages are signed with the
    secret before as well."""

    id: EntryId
    url: str
    types: tuple[str, ...]
    created_at: Instant
    created_by: str
    switched_off: SwitchedOff | UnsetType = UNSET
    old_secret_until: Instant | UnsetType = UNSET


class MadeWebhook(Struct, frozen=True):
    """A new webhook, with its secret."""

    id: EntryId
    url: str
    types: tuple[str, ...]
    secret: Secret | UnsetType = UNSET
    secret_shown: SecretShown | UnsetType = UNSET

    def __repr__(self) -> str:
        """Without the secret."""
        return f"<MadeWebhook {self.id}>"


class RotatedSecret(Struct, frozen=True):
    """A webhook's new secret, and until when messages carry a signature by the old one too."""

    id: EntryId
    secret: Secret | UnsetType = UNSET
    secret_shown: SecretShown | UnsetType = UNSET
    old_secret_until: Instant | UnsetType = UNSET

    def __repr__(self) -> str:
        """Without the secret."""
        return f"<RotatedSecret {self.id}>"


class WebhookDelivery(Struct, frozen=True):
    """One message to a webhook. `event` is missing of a test. `answered` is the status of the last
    answer; `why` tells why there was none. Nothing else of an answer is kept."""

    id: EntryId
    type: str
    status: Literal["waiting", "delivered", "failed"]
    attempts: int
    created_at: Instant
    event: str | UnsetType = UNSET
    again_of: EntryId | UnsetType = UNSET
    tried_at: Instant | UnsetType = UNSET
    next_try_at: Instant | UnsetType = UNSET
    answered: int | UnsetType = UNSET
    why: (
        Literal[
            "target-refused",
            "timed-out",
            "unreachable",
            "answer-malformed",
            "secret-unreadable",
            "event-gone",
        ]
        | UnsetType
    ) = UNSET


def webhook_answer(webhook: Webhook, now: int) -> WebhookAnswer:
    """A webhook as it is at a moment."""
    off: SwitchedOff | UnsetType = UNSET
    if webhook.off_at is not None and webhook.off_why is not None:
        off = SwitchedOff(at=instant(webhook.off_at), why=webhook.off_why)
    ends = webhook.before_ends_at
    return WebhookAnswer(
        id=webhook.id,
        url=webhook.url,
        types=webhook.types,
        created_at=instant(webhook.made_at),
        created_by=webhook.made_by,
        switched_off=off,
        old_secret_until=UNSET if ends is None or ends <= now else instant(ends),
    )


def delivery_answer(delivery: Delivery) -> WebhookDelivery:
    """A delivery as it is kept."""
    why: object = UNSET if delivery.why is None else delivery.why
    waits = delivery.status == "waiting"
    document = {
        "id": delivery.id,
        "type": delivery.type,
        "status": delivery.status,
        "attempts": delivery.attempts,
        "created_at": instant(delivery.made_at),
        "event": UNSET if delivery.event is None else str(delivery.event),
        "again_of": delivery.again_of or UNSET,
        "tried_at": UNSET if delivery.tried_at is None else instant(delivery.tried_at),
        "next_try_at": instant(delivery.next_at) if waits and delivery.next_at else UNSET,
        "answered": UNSET if delivery.answered is None else delivery.answered,
        "why": why,
    }
    return msgspec.convert({k: v for k, v in document.items() if v is not UNSET}, WebhookDelivery)


def webhook_tag(webhook: Webhook) -> str:
    """The entity tag of a webhook."""
    return etag_of(content_digest(f"{webhook.id} {webhook.version}".encode("ascii")))
