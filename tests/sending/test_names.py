"""Names of hosts are looked up within a time."""

import threading

import pytest

from service.sending.names import MOST_AT_ONCE, look_up, look_up_within


def test_look_up_within_gives_each_address_once() -> None:
    """The addresses in their order, none twice."""
    found = look_up_within(5, lambda _host, _port: ["192.0.2.2", "192.0.2.1", "192.0.2.2"], "a", 1)
    assert found == ["192.0.2.2", "192.0.2.1"]


def test_look_up_reads_an_address_as_it_is() -> None:
    """An address stands for itself; nobody is asked."""
    assert look_up_within(5, look_up, "127.0.0.1", 443) == ["127.0.0.1"]


def test_look_up_within_lets_no_thread_pile_up() -> None:
    """When as many look-ups hang as may, the next one ends in its time and starts none; when they
    have ended it goes on."""
    never = threading.Event()
    ended: list[str] = []

    def hang(host: str, _port: int) -> list[str]:
        never.wait(60)
        ended.append(host)
        return []

    before = threading.active_count()
    for _ in range(MOST_AT_ONCE + 3):
        with pytest.raises(TimeoutError):
            look_up_within(0.01, hang, "receiver.example", 443)
    assert threading.active_count() <= before + MOST_AT_ONCE
    with pytest.raises(TimeoutError):
        look_up_within(0.2, lambda _host, _port: ["192.0.2.1"], "receiver.example", 443)
    assert not ended  # who waited for none of them
    never.set()
    assert look_up_within(5, lambda _host, _port: ["192.0.2.1"], "a", 443) == ["192.0.2.1"]


def test_look_up_within_keeps_no_place_for_a_thread_that_never_began(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Where the system gives no more threads nothing is taken up that nobody gives back."""

    def refuse(_thread: threading.Thread) -> None:
        raise RuntimeError

    monkeypatch.setattr(threading.Thread, "start", refuse)
    for _ in range(MOST_AT_ONCE + 1):
        with pytest.raises(RuntimeError):
            look_up_within(0.01, look_up, "127.0.0.1", 443)
