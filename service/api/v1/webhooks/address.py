"""What stands in the addresses of webhooks, and which deliveries are asked for."""

from __future__ import annotations

import re
from typing import get_args

from starlette.requests import Request

from service.api.operation import Parameter
from service.api.parameters import ID_SCHEMA
from service.api.problems import ParameterError, ProblemError
from service.api.v1.pages import bad_cursor
from service.fields import ID_PATTERN
from service.storage.events import EventType
from service.storage.webhook_deliveries import TEST, DeliveryStatus
from service.units import found

PREFIX = "/v1/webhooks"
STATUSES: tuple[str, ...] = get_args(DeliveryStatus)
TYPES: tuple[str, ...] = (*get_args(EventType), TEST)

_ID = re.compile(ID_PATTERN, re.ASCII)
_CURSOR = re.compile(r"(?:[0-9a-f]{2}){1,64}", re.ASCII)
WEBHOOK_ID = Parameter(
    name="id",
    within="path",
    description="The webhook's id.",
    schema=ID_SCHEMA,
    component="WebhookId",
    required=True,
)
DELIVERY_ID = Parameter(
    name="delivery",
    within="path",
    description="The delivery's id.",
    schema=ID_SCHEMA,
    component="DeliveryId",
    required=True,
)
STATUS = Parameter(
    name="status",
    within="query",
    description="Only those that wait, were delivered, or have failed for good.",
    schema={"type": "string", "enum": list(STATUSES)},
    component="DeliveryStatus",
)
TYPE = Parameter(
    name="type",
    within="query",
    description="Only those of one type of event.",
    schema={"type": "string", "enum": list(TYPES)},
    component="DeliveryType",
)


def read_id(request: Request) -> str:
    """The id in the path. Raises ProblemError (404) for what can't be one."""
    webhook_id: str = request.path_params["id"]
    if not _ID.fullmatch(webhook_id):
        raise ProblemError("unknown-webhook")
    return webhook_id


def read_delivery_id(request: Request) -> str:
    """The delivery's id in the path. Raises ProblemError (404) for what can't be one."""
    delivery_id: str = request.path_params["delivery"]
    if not _ID.fullmatch(delivery_id):
        raise ProblemError("unknown-delivery")
    return delivery_id


def read_cursor(given: dict[str, str]) -> str | None:
    """The id at which a page begins, or None. Raises ProblemError."""
    cursor = given.get("cursor")
    if cursor is None:
        return None
    held = bytes.fromhex(cursor).decode("latin-1") if _CURSOR.fullmatch(cursor) else ""
    if not _ID.fullmatch(held):
        raise bad_cursor(cursor)
    return held


def read_chosen(given: dict[str, str]) -> dict[str, str]:
    """What deliveries must have to be asked for. Raises ProblemError."""
    chosen: dict[str, str] = {}
    for name, known in (("status", STATUSES), ("type", TYPES)):
        if name not in given:
            continue
        if given[name] not in known:
            message = f"{name}: {found(given[name])} is not one of {', '.join(known)}"
            raise ParameterError(name, message)
        chosen[name] = given[name]
    return chosen
