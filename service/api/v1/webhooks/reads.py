"""`/v1/webhooks`: what reads."""

from __future__ import annotations

from typing import get_args

import msgspec
from starlette.requests import Request
from starlette.responses import Response

from service.api.answers import content_response, read_response
from service.api.dependencies import run_stored, written_address
from service.api.parameters import one_word
from service.api.problems import ParameterError
from service.api.v1.pages import (
    cursor_of,
    link_header,
    read_limit,
    read_parameters,
    refuse_parameters,
)
from service.api.v1.webhooks.address import PREFIX, read_id, read_place
from service.operations.callers.webhook_answer import (
    delivery_answer,
    webhook_answer,
    webhook_tag,
)
from service.operations.callers.webhooks import known_webhook
from service.operations.quoting.quote_answer import encode_answer
from service.storage import Store, webhook_deliveries, webhooks
from service.storage.events import EventType
from service.storage.webhook_deliveries import TEST, Delivery, DeliveryStatus
from service.units import found as shown

STATUSES: tuple[str, ...] = get_args(DeliveryStatus)
TYPES: tuple[str, ...] = (*get_args(EventType), TEST)
STATUS = one_word(
    "status",
    "DeliveryStatus",
    STATUSES,
    "Only those that wait, were delivered, or have failed for good.",
)
TYPE = one_word("type", "DeliveryType", TYPES, "Only those of one type of event.")


async def list_webhooks(request: Request) -> Response:
    """Every webhook, without its secret."""
    given = read_parameters(request, ("limit", "cursor"))
    limit, after = read_limit(given), read_place(given) or ""

    def read(store: Store) -> list[object]:
        with store.read() as connection:
            found = webhooks.list_webhooks(connection, after=after, limit=limit + 1)
        return [msgspec.to_builtins(webhook_answer(each, store.now())) for each in found]

    found = await run_stored(request, read)
    return _page(request, found, limit, PREFIX)


async def read_webhook(request: Request) -> Response:
    """A webhook, without its secret: whether it is switched off, and why."""
    refuse_parameters(request)
    webhook_id = read_id(request)

    def read(store: Store) -> tuple[bytes, str]:
        with store.read() as connection:
            webhook = known_webhook(connection, webhook_id)
        return encode_answer(webhook_answer(webhook, store.now())), webhook_tag(webhook)

    body, tag = await run_stored(request, read)
    return content_response(request, body, tag=tag)


async def list_webhook_deliveries(request: Request) -> Response:
    """What was sent to a webhook and what waits, the newest first; kept for 30 days."""
    given = read_parameters(request, ("status", "type", "limit", "cursor"))
    limit, before, chosen = read_limit(given), read_place(given), read_chosen(given)
    webhook_id = read_id(request)

    def read(store: Store) -> tuple[Delivery, ...]:
        with store.read() as connection:
            known_webhook(connection, webhook_id)
            return webhook_deliveries.list_deliveries(
                connection, webhook_id, chosen=chosen, before=before, limit=limit + 1
            )

    found = [msgspec.to_builtins(delivery_answer(each)) for each in await run_stored(request, read)]
    asked = "".join(f"{name}={value}&" for name, value in chosen.items())
    return _page(request, found, limit, f"{PREFIX}/{webhook_id}/deliveries", asked)


def _page(
    request: Request, found: list[object], limit: int, path: str, asked: str = ""
) -> Response:
    page, next_page = found[:limit], None
    if len(found) > limit:
        last = msgspec.convert(page[-1], dict[str, object])
        cursor = cursor_of(str(last["id"]))
        next_page = written_address(request, f"{path}?{asked}limit={limit}&cursor={cursor}")
    document = {"items": page, "next": next_page}
    return read_response(request, document, headers=link_header(next_page))


def read_chosen(given: dict[str, str]) -> dict[str, str]:
    """What deliveries must have to be asked for. Raises ProblemError."""
    chosen: dict[str, str] = {}
    for name, known in (("status", STATUSES), ("type", TYPES)):
        if name not in given:
            continue
        if given[name] not in known:
            message = f"{name}: {shown(given[name])} is not one of {', '.join(known)}"
            raise ParameterError(name, message)
        chosen[name] = given[name]
    return chosen
