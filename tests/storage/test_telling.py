"""How far behind those are who are told of changes."""

from __future__ import annotations

from dataclasses import replace

from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import Connection, Store
from service.storage.events import record
from service.storage.telling import Telling, find_telling
from service.storage.webhook_deliveries import add_delivery, update_delivery
from service.storage.webhooks import Webhook, add_webhook
from tests.given.served import client_over

NOW = 1_800_000_000
HOOK = Webhook(
    id="w1", url="https://127.0.0.1:1/", types=("quote.saved",), made_at=NOW, made_by="k1",
    version=1, seen=0, before_ends_at=None, failing_since=None, off_at=None, off_why=None,
)  # fmt: skip


def fill(connection: Connection) -> None:
    """Two events, two webhooks of which one is off, and three messages, one of them delivered."""
    for _ in range(2):
        record(connection, "catalog.reloaded", {}, by="k1", now=NOW)
    add_webhook(connection, HOOK, b"sealed")
    add_webhook(connection, replace(HOOK, id="w2", off_at=NOW, off_why="gone"), b"sealed")
    sent = [add_delivery(connection, "w1", None, NOW - ago, "k1") for ago in (900, 600, 30)]
    update_delivery(connection, sent[0].id, status="delivered", next_at=None)


def test_find_telling_counts_what_waits(store: Store) -> None:
    """Of an empty database all is 0; what was delivered waits no longer, and the oldest message
    that waits says for how long."""
    with store.read() as connection:
        empty = Telling(last_event=0, waiting=0, oldest_seconds=0, switched_off=0)
        assert find_telling(connection, NOW) == empty
    with store.write() as connection:
        fill(connection)
    with store.read() as connection:
        assert find_telling(connection, NOW) == Telling(
            last_event=2, waiting=2, oldest_seconds=600, switched_off=1
        )
        assert find_telling(connection, NOW - 700).oldest_seconds == 0


def metrics(client: TestClient) -> dict[str, str]:
    """The figures without labels."""
    lines = client.get("/metrics").text.splitlines()
    return dict(line.split(" ") for line in lines if line[0] != "#" and "{" not in line)


def test_metrics_tells_what_waits_for_webhooks(catalog: Catalog, store: Store) -> None:
    """`/metrics` has the figures of the database; with none in use they are left out."""
    clocked = replace(store, now=lambda: NOW)
    with client_over(catalog, clocked) as client:
        with store.write() as connection:
            fill(connection)
        found = metrics(client)
    assert found["service_last_event"] == "2.0"
    assert found["service_webhook_oldest_waiting_seconds"] == "600.0"
    assert found["service_webhooks_off"] == "1.0"
    with client_over(catalog) as client:
        assert not [name for name in metrics(client) if "webhook" in name]
