"""The operations of webhooks: where events are sent, and what came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.api.bodies import JSON
from service.api.late import late_modules
from service.api.operation import (
    CHANGES,
    READS_STORED,
    STORES,
    Answer,
    Body,
    Operation,
    PageOf,
    Scope,
    json_answer,
)
from service.api.parameters import IDEMPOTENCY_KEY, IF_CHANGED, IF_MATCH, read_answers
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
_ONE = f"{PREFIX}/{{id}}"
_DELIVERIES = f"{_ONE}/deliveries"
_ADMIN: tuple[Scope, ...] = ("admin",)
_REPLAYED = "Idempotent-Replayed"
_SENT = json_answer(
    webhook_answer.WebhookDelivery, status=202, description="It waits.", headers=(_REPLAYED,)
)

OPERATIONS = (
    Operation(
        method="POST",
        path=PREFIX,
        handler=making.create_webhook,
        scopes=_ADMIN,
        tag=TAG,
        summary="Send events to an address",
        parameters=(IDEMPOTENCY_KEY,),
        body=Body(shapes={JSON: webhook_request.WebhookRequest}),
        answers=(
            json_answer(
                webhook_answer.MadeWebhook,
                status=201,
                description="Made, with the secret, which is shown once.",
                headers=("ETag", "Location", _REPLAYED),
            ),
        ),
        refuses=STORES,
    ),
    Operation(
        method="GET",
        path=PREFIX,
        handler=reads.list_webhooks,
        scopes=_ADMIN,
        tag=TAG,
        summary="List webhooks",
        parameters=(*PAGE, IF_CHANGED),
        answers=read_answers(PageOf(webhook_answer.WebhookAnswer)),
        refuses=READS_STORED,
    ),
    Operation(
        method="GET",
        path=_ONE,
        handler=reads.read_webhook,
        scopes=_ADMIN,
        tag=TAG,
        summary="Read a webhook",
        parameters=(WEBHOOK_ID, IF_CHANGED),
        answers=read_answers(webhook_answer.WebhookAnswer),
        refuses=READS_STORED,
    ),
    Operation(
        method="PUT",
        path=_ONE,
        handler=making.replace_webhook,
        scopes=_ADMIN,
        tag=TAG,
        summary="Send other events, or elsewhere; switch on again",
        parameters=(WEBHOOK_ID, IDEMPOTENCY_KEY, IF_MATCH),
        body=Body(shapes={JSON: webhook_request.WebhookRequest}),
        answers=(
            json_answer(
                webhook_answer.WebhookAnswer,
                description="As it is now.",
                headers=("ETag", _REPLAYED),
            ),
        ),
        refuses=CHANGES,
    ),
    Operation(
        method="DELETE",
        path=_ONE,
        handler=making.end_webhook,
        scopes=_ADMIN,
        tag=TAG,
        summary="End a webhook",
        parameters=(WEBHOOK_ID,),
        answers=(Answer(status=204, description="Done; there is nothing to say."),),
        refuses=STORES,
    ),
    Operation(
        method="POST",
        path=f"{_ONE}/rotate",
        handler=making.rotate_webhook_secret,
        scopes=_ADMIN,
        tag=TAG,
        summary="Give a webhook a new secret",
        parameters=(WEBHOOK_ID, IDEMPOTENCY_KEY),
        body=Body(shapes={JSON: webhook_request.SecretRotation}),
        answers=(
            json_answer(
                webhook_answer.RotatedSecret,
                description="The new secret, which is shown once.",
                headers=("ETag", _REPLAYED),
            ),
        ),
        refuses=STORES,
    ),
    Operation(
        method="POST",
        path=f"{_ONE}/test",
        handler=making.test_webhook,
        scopes=_ADMIN,
        tag=TAG,
        summary="Send a test",
        parameters=(WEBHOOK_ID, IDEMPOTENCY_KEY),
        answers=(_SENT,),
        refuses=STORES,
    ),
    Operation(
        method="GET",
        path=_DELIVERIES,
        handler=reads.list_webhook_deliveries,
        scopes=_ADMIN,
        tag=TAG,
        summary="List what was sent to a webhook and what waits",
        parameters=(WEBHOOK_ID, reads.STATUS, reads.TYPE, *PAGE, IF_CHANGED),
        answers=read_answers(PageOf(webhook_answer.WebhookDelivery)),
        refuses=READS_STORED,
    ),
    Operation(
        method="POST",
        path=f"{_DELIVERIES}/{{delivery}}/redeliver",
        handler=making.redeliver_to_webhook,
        scopes=_ADMIN,
        tag=TAG,
        summary="Send a message once more",
        parameters=(WEBHOOK_ID, DELIVERY_ID, IDEMPOTENCY_KEY),
        answers=(_SENT,),
        refuses=STORES,
    ),
)
