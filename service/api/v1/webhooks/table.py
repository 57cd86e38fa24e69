"""The operations of webhooks: where events are sent, and what came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import (
    CHANGES,
    Answer,
    Body,
    PageOf,
    json_answer,
)
from service.api.parameters import IDEMPOTENCY_KEY, IF_MATCH
from service.api.rows import Rows
from service.api.v1.pages import PAGE
from service.api.v1.webhooks.address import DELIVERY_ID, PREFIX, WEBHOOK_ID

if TYPE_CHECKING:
    from service.api.v1.webhooks import making, reads
    from service.operations.callers import webhook_answer, webhook_request
else:
    making, reads = late_modules("service.api.v1.webhooks", "making reads")
    webhook_answer, webhook_request = late_modules(
        "service.operations.callers", "webhook_answer webhook_request"
    )

TAG = "webhooks"
_ROWS = Rows(TAG, "admin")
_ONE = f"{PREFIX}/{{id}}"
_DELIVERIES = f"{_ONE}/deliveries"
_REPLAYED = "Idempotent-Replayed"
_SENT = json_answer(
    webhook_answer.WebhookDelivery, status=202, description="It waits.", headers=(_REPLAYED,)
)

OPERATIONS = (
    _ROWS.stores(
        "POST",
        PREFIX,
        making.create_webhook,
        json_answer(
            webhook_answer.MadeWebhook,
            status=201,
            description="Made, with the secret, which is shown once.",
            headers=("ETag", "Location", _REPLAYED),
        ),
        summary="Send events to an address",
        parameters=(IDEMPOTENCY_KEY,),
        body=Body(shapes={JSON: webhook_request.WebhookRequest}),
    ),
    _ROWS.reads(
        PREFIX,
        reads.list_webhooks,
        PageOf(webhook_answer.WebhookAnswer),
        *PAGE,
        summary="List webhooks",
    ),
    _ROWS.reads(
        _ONE, reads.read_webhook, webhook_answer.WebhookAnswer, WEBHOOK_ID, summary="Read a webhook"
    ),
    _ROWS.stores(
        "PUT",
        _ONE,
        making.replace_webhook,
        json_answer(
            webhook_answer.WebhookAnswer,
            description="As it is now.",
            headers=("ETag", _REPLAYED),
        ),
        summary="Send other events, or elsewhere; switch on again",
        parameters=(WEBHOOK_ID, IDEMPOTENCY_KEY, IF_MATCH),
        body=Body(shapes={JSON: webhook_request.WebhookRequest}),
        refuses=CHANGES,
    ),
    _ROWS.stores(
        "DELETE",
        _ONE,
        making.end_webhook,
        Answer(status=204, description="Done; there is nothing to say."),
        summary="End a webhook",
        parameters=(WEBHOOK_ID,),
    ),
    _ROWS.stores(
        "POST",
        f"{_ONE}/rotate",
        making.rotate_webhook_secret,
        json_answer(
            webhook_answer.RotatedSecret,
            description="The new secret, which is shown once.",
            headers=("ETag", _REPLAYED),
        ),
        summary="Give a webhook a new secret",
        parameters=(WEBHOOK_ID, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: webhook_request.SecretRotation}),
    ),
    _ROWS.stores(
        "POST",
        f"{_ONE}/test",
        making.test_webhook,
        _SENT,
        summary="Send a test",
        parameters=(WEBHOOK_ID, IDEMPOTENCY_KEY),
    ),
    _ROWS.reads(
        _DELIVERIES,
        reads.list_webhook_deliveries,
        PageOf(webhook_answer.WebhookDelivery),
        WEBHOOK_ID,
        reads.STATUS,
        reads.TYPE,
        *PAGE,
        summary="List what was sent to a webhook and what waits",
    ),
    _ROWS.stores(
        "POST",
        f"{_DELIVERIES}/{{delivery}}/redeliver",
        making.redeliver_to_webhook,
        _SENT,
        summary="Send a message once more",
        parameters=(WEBHOOK_ID, DELIVERY_ID, IDEMPOTENCY_KEY),
    ),
)
