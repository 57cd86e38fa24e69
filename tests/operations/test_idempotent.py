"""Calls with an Idempotency-Key: done once, answered the same again, for a day."""

import threading
from collections import Counter
from dataclasses import replace

import pytest

from service.operations.idempotent import (
    KEPT_SECONDS,
    Outcome,
    StoredOutcome,
    Work,
    document_fingerprint,
    run_once,
)
from service.operations.stored_refusals import KeyReusedError, KeyRunningError
from service.storage import Connection, Store, idempotency
from service.storage.idempotency import KeyedCall
from tests.given.stored_rows import insert_row, read_names
from tests.given.stores import Clock


def make_call(key: str = "k1", fingerprint: str = "f", **changed: str) -> KeyedCall:
    """A call with a key."""
    call = KeyedCall(caller="", method="POST", path="/v1/things", key=key, fingerprint=fingerprint)
    return replace(call, **changed)


def storing(name: str, status: int = 201) -> Work:
    """Work that stores one row and says so."""

    def work(connection: Connection) -> Outcome:
        insert_row(connection, name)
        return Outcome(status=status, body=name.encode("ascii"), headers={"Location": "/" + name})

    return work


def test_run_once_repeats_the_first_outcome(store: Store) -> None:
    """Same key, same content: status, headers and body of the first call, and nothing stored."""
    first = run_once(store, make_call(), storing("a"))
    again = run_once(store, make_call(), storing("b"))
    assert (first.replayed, again.replayed) == (False, True)
    assert first.outcome == again.outcome
    assert read_names(store) == ["a"]


def test_run_once_refuses_a_key_with_another_content(store: Store) -> None:
    """The same key with another body is refused, and nothing is stored."""
    run_once(store, make_call(), storing("a"))
    with pytest.raises(KeyReusedError):
        run_once(store, make_call(fingerprint="other"), storing("b"))
    assert read_names(store) == ["a"]


def test_run_once_tells_calls_apart(store: Store) -> None:
    """Another key is another call, and so is the same key of another caller or at another address;
    each has its own outcome when it is repeated. No key is no call to repeat."""
    calls = {
        "a": make_call(),
        "b": make_call(key="k2"),
        "c": make_call(caller="other"),
        "d": make_call(path="/v1/others"),
        "e": make_call(method="PUT"),
    }
    for name, call in calls.items():
        assert not run_once(store, call, storing(name)).replayed
    for name, call in calls.items():
        assert run_once(store, call, storing("again")).outcome.body == name.encode()
    run_once(store, None, storing("f"))
    assert read_names(store) == ["a", "b", "c", "d", "e", "f"]


def test_run_once_keeps_nothing_of_work_that_raised(store: Store) -> None:
    """Work that raises stores nothing, and its key is free again."""

    def fail(connection: Connection) -> Outcome:
        storing("a")(connection)
        raise ArithmeticError

    with pytest.raises(ArithmeticError):
        run_once(store, make_call(), fail)
    assert read_names(store) == []
    assert not run_once(store, make_call(), storing("b")).replayed


@pytest.mark.parametrize("status", [400, 422, 500, 503])
def test_run_once_keeps_no_failure(store: Store, status: int) -> None:
    """Validation errors and failures of the service are not kept."""
    run_once(store, make_call(), storing("a", status=status))
    assert not run_once(store, make_call(), storing("b")).replayed


def test_run_once_forgets_after_a_day(store: Store, clock: Clock) -> None:
    """An outcome is repeated for 24 hours; later the call is a new one."""
    run_once(store, make_call(), storing("a"))
    clock.seconds += KEPT_SECONDS
    assert run_once(store, make_call(), storing("b")).replayed
    clock.seconds += 1
    assert not run_once(store, make_call(), storing("c")).replayed


def test_run_once_says_that_a_call_is_running(store: Store) -> None:
    """A key whose work goes on in steps of its own is neither repeated nor done again."""
    with store.write() as connection:
        assert idempotency.take(connection, make_call(), store.now())
    with pytest.raises(KeyRunningError):
        run_once(store, make_call(), storing("a"))


def test_run_once_does_the_work_of_twins_once(store: Store) -> None:
    """Of 100 calls with five keys at the same time, each key's work is done once."""
    results: list[StoredOutcome] = []
    failures: list[BaseException] = []

    def call(number: int) -> None:
        key = f"k{number % 5}"
        try:
            results.append(run_once(store, make_call(key=key), storing(key)))
        except BaseException as error:
            failures.append(error)
            raise

    threads = [threading.Thread(target=call, args=(number,)) for number in range(100)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert read_names(store) == ["k0", "k1", "k2", "k3", "k4"]
    assert Counter(result.replayed for result in results) == {False: 5, True: 95}
    assert all(result.outcome.body in {b"k0", b"k1", b"k2", b"k3", b"k4"} for result in results)


def test_document_fingerprint_looks_at_the_content_alone() -> None:
    """The order of keys says nothing; a value does."""
    assert document_fingerprint({"a": 1, "b": [1]}) == document_fingerprint({"b": [1], "a": 1})
    assert document_fingerprint({"a": 1}) != document_fingerprint({"a": "1"})
    assert document_fingerprint([[1], 2]) != document_fingerprint([1, [2]])
