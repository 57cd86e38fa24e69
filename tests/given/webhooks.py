"""Webhooks in a store, receivers that answer as they are told, and events that happen."""

from collections.abc import Callable, Mapping
from pathlib import Path

from service.operations.callers.webhook_request import WebhookRequest
from service.operations.callers.webhook_secrets import make_secret
from service.operations.callers.webhook_sending import WebhookSender
from service.operations.callers.webhooks import make_webhook
from service.sending.line import Answered
from service.sending.sealed import SecretBox
from service.sending.targets import Target
from service.storage import Store, webhook_deliveries, webhooks
from service.storage.events import EventType, record
from service.storage.webhook_deliveries import Delivery
from service.storage.webhooks import Webhook

BY = "tests"
URL = "https://crm.example/hooks"
Says = Callable[[Target, bytes], Answered]


class Receiver:
    """Takes every message with 200 until told otherwise, and keeps what it was sent."""

    def __init__(self) -> None:
        self.sent: list[tuple[Mapping[str, str], bytes]] = []
        self.says: Says = lambda _target, _body: Answered(status=200)

    def __call__(self, target: Target, headers: Mapping[str, str], body: bytes) -> Answered:
        """Take a message."""
        self.sent.append((headers, body))
        return self.says(target, body)

    @property
    def ids(self) -> list[str]:
        """The ids of the messages, in the order in which they came."""
        return [headers["webhook-id"] for headers, _ in self.sent]


def made_webhook(
    store: Store, box: SecretBox, *types: EventType, url: str = URL, id_: str = "w1"
) -> str:
    """Keep a webhook, and return its secret."""
    secret, sealed = make_secret(box, id_)
    asked = WebhookRequest(url=url, types=types or ("quote.saved",))
    with store.write() as connection:
        make_webhook(connection, id_, asked, sealed, (store.now(), BY))
    return secret


def happened(store: Store, subject: str, type_: EventType = "quote.saved") -> str:
    """Write an event, and return its id."""
    with store.write() as connection:
        data = {"quote": subject}
        return str(record(connection, type_, data, by=BY, now=store.now(), subject=subject))


def sender_of(
    store: Store, box: SecretBox, receiver: Receiver, owner: str = "one"
) -> WebhookSender:
    """A sender to a receiver, which waits no longer than it must."""
    return WebhookSender(store, box, owner, send=receiver, chance=lambda: 0.0)


def kept_deliveries(store: Store, id_: str = "w1") -> list[Delivery]:
    """What there is of a webhook's deliveries, in the order of their events."""
    with store.read() as connection:
        found = webhook_deliveries.list_deliveries(
            connection, id_, chosen={}, before=None, limit=1000
        )
    return sorted(found, key=lambda each: (each.event or 0, each.id))


def kept_webhook(store: Store, id_: str = "w1") -> Webhook:
    """A webhook as it is kept."""
    with store.read() as connection:
        webhook = webhooks.find_webhook(connection, id_)
    assert webhook is not None
    return webhook


def box_in(folder: Path) -> SecretBox:
    """A box whose key lies in a folder."""
    return SecretBox(folder / "secrets.key")
