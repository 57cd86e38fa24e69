"""What is sent to webhooks: what, when, in which order, by whom, and until when."""

import json
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import delete, select, text

from service.operations.callers.webhook_answer import MadeWebhook, RotatedSecret, webhook_tag
from service.operations.callers.webhook_request import WebhookRequest
from service.operations.callers.webhook_sending import WebhookSender
from service.operations.callers.webhooks import (
    end_webhook,
    known_webhook,
    redeliver,
    replace_webhook,
)
from service.operations.conditions import Conditions
from service.sending.line import Answered
from service.sending.sealed import SecretBox
from service.sending.targets import Target
from service.storage import Store
from service.storage.event_tables import EVENT
from service.storage.events import record
from service.storage.webhook_deliveries import take_up
from service.storage.webhooks import find_sealed, take_lease
from tests.given.stores import Clock
from tests.given.webhooks import (
    Receiver,
    box_in,
    happened,
    kept_deliveries,
    kept_webhook,
    made_webhook,
    sender_of,
)

MINUTE, HOUR, DAY = 60, 3600, 86_400
# Of the plan: now, then after each failure so long; ten attempts in all.
WAITS = (5, 5 * MINUTE, 30 * MINUTE, *(HOUR * each for each in (2, 5, 10, 14, 20, 24)))


@pytest.fixture
def box(tmp_path: Path) -> SecretBox:
    """A box for secrets."""
    return box_in(tmp_path)


@pytest.fixture
def receiver() -> Receiver:
    """A receiver."""
    return Receiver()


@pytest.fixture
def sender(store: Store, box: SecretBox, receiver: Receiver) -> WebhookSender:
    """A sender to it."""
    return sender_of(store, box, receiver)


def test_deliver_sends_events_of_the_types_asked_for(
    store: Store, box: SecretBox, receiver: Receiver, sender: WebhookSender
) -> None:
    """What came before the webhook, and other types, are not sent; the body is the event."""
    happened(store, "q0")
    made_webhook(store, box, "quote.saved")
    first = happened(store, "q1")
    happened(store, "q1", "quote.changed")
    second = happened(store, "q2")
    assert sender.has_work()
    assert sender.deliver()
    assert receiver.ids == [first, second]
    assert json.loads(receiver.sent[0][1]) == {
        "id": first,
        "type": "quote.saved",
        "timestamp": "2026-05-04T00:00:00Z",
        "by": "tests",
        "data": {"quote": "q1"},
    }
    assert [each.status for each in kept_deliveries(store)] == ["delivered", "delivered"]
    assert not sender.has_work()


def test_deliver_tries_again_at_the_times_of_the_plan(
    store: Store, clock: Clock, box: SecretBox, receiver: Receiver, sender: WebhookSender
) -> None:
    """Ten attempts, never a second early; then it has failed, and no more comes."""
    made_webhook(store, box)
    happened(store, "q1")
    receiver.says = lambda _target, _body: Answered(status=500)
    for number, seconds in enumerate((*WAITS, None), start=1):
        sender.deliver()
        assert len(receiver.sent) == number
        (delivery,) = kept_deliveries(store)
        assert (delivery.attempts, delivery.answered) == (number, 500)
        if seconds is None:
            assert (delivery.status, delivery.next_at) == ("failed", None)
            continue
        clock.seconds += seconds - 1
        assert not sender.has_work()
        clock.seconds += 1
        assert sender.has_work()
    clock.seconds += 30 * DAY
    assert not sender.has_work()
    assert len(set(receiver.ids)) == 1


def test_deliver_holds_back_the_quote_that_fails_and_no_other(
    store: Store, clock: Clock, box: SecretBox, receiver: Receiver, sender: WebhookSender
) -> None:
    """Events of one quote come in their order; those of others pass one that fails."""
    made_webhook(store, box, "quote.saved", "quote.changed")
    first = happened(store, "q1")
    second = happened(store, "q1", "quote.changed")
    other = happened(store, "q2")
    refused = {first}
    receiver.says = lambda _target, body: Answered(
        status=500 if json.loads(body)["id"] in refused else 200
    )
    sender.deliver()
    assert receiver.ids == [first, other]
    refused.clear()
    clock.seconds += 5
    sender.deliver()
    assert receiver.ids == [first, other, first, second]


@pytest.mark.parametrize(
    ("answered", "waited"),
    [
        (Answered(status=429, retry_after=600), 600),
        (Answered(status=503, retry_after=600), 600),
        (Answered(status=429, retry_after=2), 5),
        (Answered(status=503, retry_after=10 * DAY), DAY),
        (Answered(status=500, retry_after=600), 5),
    ],
)
def test_deliver_waits_as_long_as_it_is_asked_to(
    store: Store,
    clock: Clock,
    box: SecretBox,
    receiver: Receiver,
    sender: WebhookSender,
    answered: Answered,
    waited: int,
) -> None:
    """Retry-After of 429 and 503 makes a wait longer, never shorter, up to a day."""
    made_webhook(store, box)
    happened(store, "q1")
    receiver.says = lambda _target, _body: answered
    sender.deliver()
    (delivery,) = kept_deliveries(store)
    assert delivery.next_at == clock.seconds + waited


def test_deliver_switches_off_what_is_gone(
    store: Store, box: SecretBox, receiver: Receiver, sender: WebhookSender
) -> None:
    """410 switches a webhook off at once, and says so in an event."""
    made_webhook(store, box)
    happened(store, "q1")
    happened(store, "q2")
    receiver.says = lambda _target, _body: Answered(status=410)
    sender.deliver()
    assert len(receiver.sent) == 1
    webhook = kept_webhook(store)
    assert (webhook.off_at, webhook.off_why) == (store.now(), "gone")
    assert switched_off(store) == [{"webhook": "w1", "why": "gone"}]
    assert not sender.has_work()


def switched_off(store: Store) -> list[dict[str, Any]]:
    """What events say of webhooks that were switched off."""
    with store.read() as connection:
        asked = select(EVENT.c.data).where(EVENT.c.type == "webhook.switched_off")
        found = [json.loads(data) for data in connection.execute(asked).scalars()]
    assert {each.pop("links")["webhook"] for each in found} == {"/v1/webhooks/w1"}
    return found


def test_deliver_switches_off_after_five_days_of_failure(
    store: Store, clock: Clock, box: SecretBox, receiver: Receiver, sender: WebhookSender
) -> None:
    """Five days without a success, and not a second earlier; one success begins anew."""
    made_webhook(store, box)
    receiver.says = lambda _target, _body: Answered(why="timed-out")
    happened(store, "q1")
    sender.deliver()
    clock.seconds += 4 * DAY
    receiver.says = lambda _target, _body: Answered(status=204)
    sender.deliver()
    assert kept_webhook(store).failing_since is None
    receiver.says = lambda _target, _body: Answered(why="unreachable")
    happened(store, "q2")
    sender.deliver()
    begun = clock.seconds
    clock.seconds = begun + 5 * DAY - 1
    sender.deliver()
    assert kept_webhook(store).off_at is None
    clock.seconds = begun + 5 * DAY
    happened(store, "q3")
    sender.deliver()
    assert kept_webhook(store).off_why == "failing"
    assert switched_off(store) == [{"webhook": "w1", "why": "failing"}]


@pytest.mark.parametrize("status", [410, 500])
def test_deliver_holds_nothing_against_a_webhook_that_was_replaced_meanwhile(
    store: Store,
    clock: Clock,
    box: SecretBox,
    receiver: Receiver,
    sender: WebhookSender,
    status: int,
) -> None:
    """What an address answered says nothing of the one that has taken its place: the webhook stays
    on, and the message goes there at once, as if it had not been tried."""
    made_webhook(store, box)
    happened(store, "q1")
    receiver.says = lambda _target, _body: Answered(status=500)
    sender.deliver()
    clock.seconds += 5 * DAY
    hosts: list[str] = []

    def say(target: Target, _body: bytes) -> Answered:
        hosts.append(target.host)
        if len(hosts) > 1:
            return Answered(status=200)
        replaced(store, "https://new.example/hooks")
        return Answered(status=status)

    receiver.says = say
    sender.deliver()
    assert hosts == ["crm.example", "new.example"]
    assert kept_webhook(store).off_at is None
    (delivery,) = kept_deliveries(store)
    assert (delivery.status, delivery.attempts) == ("delivered", 2)


def replaced(store: Store, url: str) -> None:
    """Send elsewhere from now on."""
    asked = WebhookRequest(url=url, types=("quote.saved",))
    as_read = Conditions(if_match=(webhook_tag(kept_webhook(store)),))
    with store.write() as connection:
        replace_webhook(connection, "w1", asked, as_read, (store.now(), "tests"))


@pytest.mark.parametrize("database_kind", ["postgresql"], indirect=True)
@pytest.mark.parametrize("change", ["tell of another", "send at once", "end"])
def test_deliver_and_who_changes_a_webhook_wait_in_one_order(
    store: Store, box: SecretBox, receiver: Receiver, sender: WebhookSender, change: str
) -> None:
    """Whoever changes a webhook while attempts are noted waits, or is waited for: neither is
    broken off for the other, and nothing is sent twice."""
    made_webhook(store, box)
    made_webhook(store, box, id_="w2", url="https://second.example/hooks")
    event = happened(store, "q1")
    both, first_may, second_may = threading.Barrier(3), threading.Event(), threading.Event()

    def say(target: Target, _body: bytes) -> Answered:
        both.wait(20)
        assert (second_may if target.host == "second.example" else first_may).wait(20)
        return Answered(status=410)

    receiver.says = say
    with ThreadPoolExecutor(1) as pool:
        sending = pool.submit(sender.deliver)
        both.wait(20)
        receiver.says = lambda _target, _body: Answered(status=200)
        with store.write() as connection:
            held = "w2" if change == "tell of another" else "w1"
            known_webhook(connection, held, lock=True)
            first_may.set()
            wait_for_who_waits(store)
            second_may.set()
            at = store.now(), "tests"
            match change:
                case "tell of another":
                    record(connection, "webhook.changed", {}, by="tests", now=store.now())
                case "send at once":
                    redeliver(connection, held, kept_deliveries(store, held)[0].id, at)
                case _:
                    end_webhook(connection, held, at)
        assert sending.result(20)
    assert receiver.ids.count(event) == 2


def wait_for_who_waits(store: Store) -> None:
    """Until the database has somebody wait for a lock."""
    waits = text("SELECT count(*) FROM pg_stat_activity WHERE wait_event_type = 'Lock'")
    for _ in range(2000):
        with store.read() as connection:
            if connection.execute(waits).scalar_one():
                return
    raise AssertionError("nobody waits")


def test_deliver_sends_by_one_process_at_a_time(
    store: Store, clock: Clock, box: SecretBox, receiver: Receiver, sender: WebhookSender
) -> None:
    """While one holds the lease another sends nothing; after 20 seconds without a sign it may."""
    made_webhook(store, box)
    happened(store, "q1")
    with store.write() as connection:
        assert take_lease(connection, "other", store.now(), 20)
    assert not sender.deliver()
    clock.seconds += 19
    assert not sender.deliver()
    assert receiver.sent == []
    clock.seconds += 1
    assert sender.deliver()
    assert len(receiver.sent) == 1


def test_deliver_goes_on_when_the_clock_is_set_back(
    store: Store, clock: Clock, box: SecretBox, receiver: Receiver, sender: WebhookSender
) -> None:
    """2026-11-29. A lease, an event and a retry of a clock that was a month ahead hold nothing up
    once it is set right; the plan of retries goes on from there."""
    made_webhook(store, box)
    receiver.says = lambda _target, _body: Answered(status=500)
    clock.seconds += 30 * DAY
    failed = happened(store, "q1")
    assert sender.deliver()
    new = happened(store, "q2")
    with store.write() as connection:
        take_up(connection, kept_webhook(store), store.now())
        assert take_lease(connection, "other", store.now(), 20)
    clock.seconds -= 30 * DAY
    for waited, sent in ((0, [failed, new]), (5, [new]), (5 * MINUTE - 5, [failed])):
        receiver.sent.clear()
        clock.seconds += waited
        assert sender.deliver()
        assert sorted(receiver.ids) == sorted(sent)
        assert not sender.has_work()


def test_deliver_sends_each_event_once_with_two_processes(
    store: Store, box: SecretBox, receiver: Receiver
) -> None:
    """Two that send at the same time, again and again, send each event once between them."""
    made_webhook(store, box)
    expected = [happened(store, f"q{number}") for number in range(12)]
    senders = [sender_of(store, box, receiver, owner) for owner in ("one", "two")]

    def work(sender: WebhookSender) -> None:
        while sender.has_work():
            sender.deliver()

    threads = [threading.Thread(target=work, args=(sender,)) for sender in senders]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert receiver.ids == expected


def test_deliver_sends_again_what_was_not_noted(
    store: Store, box: SecretBox, receiver: Receiver, sender: WebhookSender
) -> None:
    """A process that goes down between sending and noting: the message comes again, with the same
    id and body."""
    made_webhook(store, box)
    event = happened(store, "q1")

    def go_down(_target: object, _body: bytes) -> Answered:
        raise KeyboardInterrupt

    receiver.says = go_down
    with pytest.raises(KeyboardInterrupt):
        sender.deliver()
    receiver.says = lambda _target, _body: Answered(status=200)
    assert sender.deliver()
    assert receiver.ids == [event, event]
    assert receiver.sent[0][1] == receiver.sent[1][1]


def test_deliver_ends_what_tells_of_an_event_that_is_gone(
    store: Store, box: SecretBox, receiver: Receiver, sender: WebhookSender
) -> None:
    """An event whose days are over can't be sent any more; its delivery says so."""
    made_webhook(store, box)
    happened(store, "q1")
    receiver.says = lambda _target, _body: Answered(status=500)
    sender.deliver()
    with store.write() as connection:
        connection.execute(delete(EVENT))
    store.now.seconds += 5  # type: ignore[attr-defined]
    sender.deliver()
    (delivery,) = kept_deliveries(store)
    assert (delivery.status, delivery.why) == ("failed", "event-gone")
    assert len(receiver.sent) == 1


@pytest.mark.parametrize(("seconds", "kept"), [(30 * DAY, 2), (30 * DAY + 1, 1)])
def test_deliver_forgets_what_was_over_thirty_days_ago(
    store: Store, clock: Clock, box: SecretBox, sender: WebhookSender, seconds: int, kept: int
) -> None:
    """What was sent is told for 30 days, up to the next event."""
    made_webhook(store, box)
    happened(store, "q1")
    sender.deliver()
    clock.seconds += seconds
    happened(store, "q2")
    sender.deliver()
    assert len(kept_deliveries(store)) == kept


def test_deliver_says_when_the_key_is_another(
    store: Store, tmp_path: Path, box: SecretBox, receiver: Receiver, sender: WebhookSender
) -> None:
    """With another key in the file nothing is sent unsigned: the attempt failed, and says why."""
    made_webhook(store, box)
    happened(store, "q1")
    (tmp_path / "secrets.key").unlink()
    box.seal("makes another key", "")
    sender.deliver()
    assert receiver.sent == []
    (delivery,) = kept_deliveries(store)
    assert (delivery.status, delivery.why) == ("waiting", "secret-unreadable")


def test_nothing_shows_a_secret_in_passing(tmp_path: Path, store: Store, box: SecretBox) -> None:
    """What holds a secret, sealed or not, doesn't print it."""
    secret = made_webhook(store, box)
    with store.read() as connection:
        sealed = find_sealed(connection, "w1", store.now())
    made = MadeWebhook(id="w1", url="https://crm.example/", types=(), secret=secret)
    shown = repr([made, RotatedSecret(id="w1", secret=secret), sealed, box, kept_webhook(store)])
    key = (tmp_path / "secrets.key").read_text("ascii").strip()
    for hidden in (secret, secret.removeprefix("whsec_"), repr(sealed.secret), key):
        assert hidden not in shown
