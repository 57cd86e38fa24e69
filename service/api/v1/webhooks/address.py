"""What stands in the addresses of webhooks."""

from __future__ import annotations

import re

from starlette.requests import Request

from service.api.operation import Parameter
from service.api.parameters import ID_SCHEMA
from service.api.problems import ProblemError
from service.api.v1.pages import read_cursor
from service.fields import ID_PATTERN

PREFIX = "/v1/webhooks"

_ID = re.compile(ID_PATTERN, re.ASCII)
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


def read_place(given: dict[str, str]) -> str | None:
    """The id after which a page begins, or None. Raises ProblemError."""
    place = read_cursor(given, _ID)
    return place[0] if place else None
