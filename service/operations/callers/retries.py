"""When a message is sent again, and when a webhook is switched off. Times are seconds."""

from __future__ import annotations

from http import HTTPStatus

from service.storage.webhooks import OffWhy

_MINUTE, _HOUR, DAY = 60, 3600, 86_400
# How long after an attempt the next one comes. After the last there is none.
WAITS = (
    5,
    5 * _MINUTE,
    30 * _MINUTE,
    2 * _HOUR,
    5 * _HOUR,
    10 * _HOUR,
    14 * _HOUR,
    20 * _HOUR,
    24 * _HOUR,
)
# A wait is longer by up to this share, so that many that failed together don't return together.
JITTER = 0.1
FAILING_SECONDS = 5 * DAY
_HEEDED = (HTTPStatus.TOO_MANY_REQUESTS, HTTPStatus.SERVICE_UNAVAILABLE)


def is_delivered(answered: int | None) -> bool:
    """Whether the receiver has taken a message: any status of 2xx says so."""
    return answered is not None and HTTPStatus.OK <= answered < HTTPStatus.MULTIPLE_CHOICES


def seconds_to_next(
    attempts: int, answered: int | None, retry_after: int | None, chance: float
) -> int | None:
    """How long to wait after so many attempts, the last of them failed; None: no longer tried.

    A receiver that has too much to do may ask for more, up to a day. `chance`, 0 to 1, spreads.
    """
    if attempts > len(WAITS) or answered == HTTPStatus.GONE:
        return None
    wait = WAITS[attempts - 1]
    if answered in _HEEDED and retry_after is not None:
        wait = max(wait, min(retry_after, DAY))
    return wait + int(wait * JITTER * chance)


def why_off(answered: int | None, failing_since: int, now: int) -> OffWhy | None:
    """Why a webhook is switched off after an attempt that failed; None: it isn't."""
    if answered == HTTPStatus.GONE:
        return "gone"
    return "failing" if now - failing_since >= FAILING_SECONDS else None
