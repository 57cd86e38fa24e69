"""The secrets of webhooks: made, sealed, opened to sign a message."""

from __future__ import annotations

from collections.abc import Mapping

from service.sending.sealed import SecretBox
from service.sending.signature import new_secret, signed_headers
from service.storage.webhooks import Sealed


def make_secret(box: SecretBox, webhook_id: str) -> tuple[str, bytes]:
    """A new secret, to be shown once and to be kept. Raises SecretFileError."""
    secret = new_secret()
    return secret, box.seal(secret, webhook_id)


def message_headers(
    box: SecretBox, webhook_id: str, sealed: Sealed, message: tuple[str, bytes], moment: int
) -> Mapping[str, str]:
    """What goes with a message, its id and its body, when it is sent at a moment. Raises
    SecretFileError."""
    kept = [each for each in (sealed.secret, sealed.before) if each is not None]
    keys = [box.unseal(each, webhook_id) for each in kept]
    message_id, body = message
    return {
        "Content-Type": "application/json",
        "User-Agent": "wall-quote-service",
        **signed_headers(message_id, moment, body, keys),
    }
