"""`/v1/webhooks`: what makes, changes and ends them, or lets something be sent."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from msgspec import UNSET, structs
from starlette.requests import Request
from starlette.responses import Response

from service.api.bodies import read_json, read_no_body
from service.api.dependencies import get_caller, get_catalog, get_webhooks, run_storing
from service.api.storing import read_call, read_conditions, stored_response
from service.api.v1.pages import refuse_parameters
from service.api.v1.webhooks.address import PREFIX, read_delivery_id, read_id
from service.operations.callers import webhooks
from service.operations.callers.webhook_answer import (
    MadeWebhook,
    RotatedSecret,
    delivery_answer,
    webhook_answer,
    webhook_tag,
)
from service.operations.callers.webhook_request import (
    SecretRotation,
    WebhookRequest,
    check_target,
)
from service.operations.idempotent import (
    Outcome,
    StoredOutcome,
    Work,
    document_fingerprint,
    find_outcome,
    fingerprint,
    run_once,
)
from service.operations.quoting.quote_answer import encode_answer
from service.operations.ruled import read_document
from service.operations.saved.saved_quote_answer import instant
from service.storage import Connection, Store
from service.storage.webhook_deliveries import Delivery

if TYPE_CHECKING:
    from service.sending.sealed import SecretBox

ACCEPTED = 202
# The moment, and who does it.
At = tuple[int, str]
Prepare = Callable[[Store, At], Work]


async def create_webhook(request: Request) -> Response:
    """Send events of some types to an address, from now on.

    The secret by which messages are signed is shown by this answer and never again: a call that is
    repeated with its `Idempotency-Key` gets the webhook with `secret_shown` in its place.
    """
    document = await _read(request)
    host, catalog = get_webhooks(request), get_catalog(request)

    def prepare(store: Store, at: At) -> Work:
        asked = read_document(WebhookRequest, document, catalog)
        check_target(asked.url, host.allowed)
        webhook_id = webhooks.new_id()
        secret, sealed = _make_secret(host.find_box(store), webhook_id)

        def work(connection: Connection) -> Outcome:
            made = webhooks.make_webhook(connection, webhook_id, asked, sealed, at)
            answer = MadeWebhook(id=made.id, url=made.url, types=made.types, secret=secret)
            headers = {"ETag": webhook_tag(made), "Location": f"{PREFIX}/{made.id}"}
            return _shown_once(answer, 201, headers)

        return work

    return await _do(request, document_fingerprint(document), prepare)


async def rotate_webhook_secret(request: Request) -> Response:
    """Sign with a new secret, which is shown once; for some days messages carry two signatures,
    the second by the old one."""
    document = await _read(request)
    host, catalog = get_webhooks(request), get_catalog(request)

    def prepare(store: Store, at: At) -> Work:
        overlap = read_document(SecretRotation, document, catalog).seconds()
        webhook_id = read_id(request)
        secret, sealed = _make_secret(host.find_box(store), webhook_id)

        def work(connection: Connection) -> Outcome:
            now = webhooks.rotate_secret(connection, webhook_id, sealed, overlap, at)
            ends = now.before_ends_at
            until = UNSET if ends is None else instant(ends)
            answer = RotatedSecret(id=now.id, secret=secret, old_secret_until=until)
            return _shown_once(answer, 200, {"ETag": webhook_tag(now)})

        return work

    return await _do(request, document_fingerprint(document), prepare)


async def replace_webhook(request: Request) -> Response:
    """Send other events, or to another address; one that was switched off is on again and is sent
    what waits. `If-Match` takes the ETag of the webhook."""
    conditions = read_conditions(request)
    document = await _read(request)
    host, catalog = get_webhooks(request), get_catalog(request)

    def prepare(_store: Store, at: At) -> Work:
        asked = read_document(WebhookRequest, document, catalog)
        check_target(asked.url, host.allowed)
        webhook_id = read_id(request)

        def work(connection: Connection) -> Outcome:
            now = webhooks.replace_webhook(connection, webhook_id, asked, conditions, at)
            body = encode_answer(webhook_answer(now, at[0]))
            return Outcome(status=200, body=body, headers={"ETag": webhook_tag(now)})

        return work

    return await _do(request, document_fingerprint(document), prepare)


async def end_webhook(request: Request) -> Response:
    """Send nothing more there, what waits neither, and forget address and secret."""
    refuse_parameters(request)
    await read_no_body(request)
    webhook_id, by = read_id(request), get_caller(request).by

    def end(store: Store) -> None:
        with store.write() as connection:
            webhooks.end_webhook(connection, webhook_id, (store.now(), by))

    await run_storing(request, end)
    return Response(status_code=204)


async def test_webhook(request: Request) -> Response:
    """Let a message of type `webhook.test` be sent, which is tried once, to a webhook that is
    switched off as well. What came of it stands among its deliveries."""
    return await _send(request, webhooks.try_webhook)


async def redeliver_to_webhook(request: Request) -> Response:
    """Send a message once more, with the same id; one that waits is sent now."""
    delivery_id = read_delivery_id(request)
    return await _send(
        request,
        lambda connection, webhook_id, at: webhooks.redeliver(
            connection, webhook_id, delivery_id, at
        ),
    )


async def _send(request: Request, add: Callable[[Connection, str, At], Delivery]) -> Response:
    """Let something be sent to the webhook in the path."""
    refuse_parameters(request)
    await read_no_body(request)
    webhook_id = read_id(request)

    def prepare(_store: Store, at: At) -> Work:
        def work(connection: Connection) -> Outcome:
            body = encode_answer(delivery_answer(add(connection, webhook_id, at)))
            return Outcome(status=ACCEPTED, body=body)

        return work

    return await _do(request, fingerprint(b""), prepare)


async def _read(request: Request) -> object:
    refuse_parameters(request)
    return await read_json(request)


async def _do(request: Request, content: str, prepare: Prepare) -> Response:
    """Do something once, in one transaction, and let it be sent what that leads to. A call that
    came before under its key is answered before anything is prepared."""
    call, by = read_call(request, content), get_caller(request).by

    def run(store: Store) -> StoredOutcome:
        earlier = find_outcome(store, call)
        return earlier or run_once(store, call, prepare(store, (store.now(), by)))

    stored = await run_storing(request, run)
    get_webhooks(request).runner.begin()
    return stored_response(stored)


def _shown_once(
    answer: MadeWebhook | RotatedSecret, status: int, headers: dict[str, str]
) -> Outcome:
    """An answer with a secret; what is kept for repeated calls has none."""
    kept = structs.replace(answer, secret=UNSET, secret_shown=True)
    return Outcome(
        status=status,
        body=encode_answer(answer),
        kept_body=encode_answer(kept),
        headers=headers,
    )


def _make_secret(box: SecretBox, webhook_id: str) -> tuple[str, bytes]:
    from service.operations.callers.webhook_secrets import make_secret  # noqa: PLC0415

    return make_secret(box, webhook_id)
