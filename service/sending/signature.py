"""Signs messages as the Standard Webhooks 1.0 convention says, through its library."""

from __future__ import annotations

import base64
import secrets
from collections.abc import Sequence
from datetime import UTC, datetime

from standardwebhooks import Webhook

SECRET_BYTES = 32
_PREFIX = "whsec_"


def new_secret() -> str:
    """A secret that nobody guesses: 256 random bits."""
    return _PREFIX + base64.b64encode(secrets.token_bytes(SECRET_BYTES)).decode("ascii")


def signed_headers(
    message_id: str, moment: int, body: bytes, keys: Sequence[str]
) -> dict[str, str]:
    """The three headers of a message, with one signature for each secret. `moment`: that of the
    attempt, in seconds since 1970."""
    at = datetime.fromtimestamp(moment, UTC)
    text = body.decode("utf-8")
    return {
        "webhook-id": message_id,
        "webhook-timestamp": str(moment),
        "webhook-signature": " ".join(Webhook(key).sign(message_id, at, text) for key in keys),
    }
