"""Events: numbered as they are committed, without gaps, and dropped the oldest first."""

import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from itertools import count

import pytest
from sqlalchemy import Connection

from service.operations.callers.event_list import EVENT_TYPES, read_events
from service.storage import Store
from service.storage.events import DROPPED_AT_ONCE, NewEvent, find_kept, record, record_all
from tests.given.stores import Clock

DAY = 86_400


def tell(connection: Connection, store: Store, subject: str) -> int:
    """Write an event about something."""
    return record(connection, "quote.saved", {"quote": subject}, now=store.now(), subject=subject)


def tell_many(store: Store, count: int) -> None:
    """Write many events in a transaction."""
    event = NewEvent(type="quote.saved", subject=None, data={})
    with store.write() as connection:
        record_all(connection, [event] * count, store.now())


class Poller:
    """Reads on from where it was."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._after: int | None = None
        self.seen: list[str | None] = []

    def poll(self) -> list[str | None]:
        """What the events are about that came since."""
        with self._store.read() as connection:
            found, self._after = read_events(connection, EVENT_TYPES, after=self._after, limit=1000)
        new = [event.subject for event in found]
        self.seen += new
        return new


@contextmanager
def transaction(store: Store) -> Iterator[tuple[Connection, ExitStack]]:
    """A transaction that is committed when its stack is closed, in the middle of a test."""
    with ExitStack() as stack:
        yield stack.enter_context(store.write()), stack


def taken_back(store: Store, subject: str) -> int:
    """The number of an event whose transaction was taken back."""
    number = 0
    try:
        with store.write() as connection:
            number = tell(connection, store, subject)
            raise ArithmeticError
    except ArithmeticError:
        return number


def test_events_are_numbered_one_after_the_other(store: Store) -> None:
    """The first is 1, and what is taken back leaves no gap."""
    with store.write() as connection:
        assert tell(connection, store, "a") == 1
    assert taken_back(store, "b") == 2
    with store.write() as connection:
        assert [tell(connection, store, name) for name in ("c", "d")] == [2, 3]
    poller = Poller(store)
    assert (poller.poll(), poller.poll()) == (["a", "c", "d"], [])


@pytest.mark.parametrize("database_kind", ["sqlite"], indirect=True)
def test_find_kept_takes_as_long_for_many_as_for_few(store: Store) -> None:
    """The two ends are looked up; SQLite would walk through all events for both at once."""
    tell_many(store, 10)
    few = steps_of(store, find_kept)
    tell_many(store, 2000)
    assert steps_of(store, find_kept) < few + 100


def steps_of(store: Store, read: Callable[[Connection], object]) -> int:
    """How many steps SQLite takes to read something."""
    steps = count()
    with store.read() as connection:
        driver = connection.connection.driver_connection
        assert driver is not None
        driver.set_progress_handler(lambda: next(steps) < 0, 1)
        read(connection)
        driver.set_progress_handler(None, 1)
    return next(steps)


def test_events_say_who_acts(store: Store) -> None:
    """Whoever the store acts as, unless somebody else is named; a store as it was opened acts for
    the command line, and acting as somebody is nobody else's matter."""
    with store.acting_as("k_office").write() as connection:
        tell(connection, store, "a")
        record(connection, "quote.saved", {}, now=store.now(), by="link")
    with store.write() as connection:
        tell(connection, store, "b")
    with store.read() as connection:
        found, _ = read_events(connection, EVENT_TYPES, after=None, limit=10)
    assert [event.by for event in found] == ["k_office", "link", "command-line"]


@pytest.mark.parametrize("database_kind", ["postgresql"], indirect=True)
def test_a_poller_sees_what_was_begun_first_and_committed_last(store: Store) -> None:
    """Of two transactions the one that began first commits last: a poller that looks in between
    sees both, each once, in the order of their commits."""
    poller = Poller(store)
    with transaction(store) as (first, ending):
        assert first.dialect.name == "postgresql"
        find_kept(first)  # it has begun, and has read
        with store.write() as second:
            tell(second, store, "second")
        assert poller.poll() == ["second"]
        tell(first, store, "first")
        assert poller.poll() == []
        ending.close()
    assert poller.poll() == ["first"]


@pytest.mark.parametrize("database_kind", ["postgresql"], indirect=True)
def test_who_tells_later_waits_for_the_commit_of_who_told_first(store: Store) -> None:
    """A number is drawn under a lock that is held to the commit: the next one waits, so a poller
    never sees a later number before an earlier one."""
    poller, told = Poller(store), threading.Event()

    def tell_second() -> None:
        with store.write() as connection:
            tell(connection, store, "second")
        told.set()

    thread = threading.Thread(target=tell_second)
    with transaction(store) as (first, ending):
        tell(first, store, "first")
        thread.start()
        assert not told.wait(0.5)
        assert poller.poll() == []
        ending.close()
    thread.join()
    assert poller.poll() == ["first", "second"]


def test_a_poller_misses_nothing_of_many_writers(store: Store) -> None:
    """While four threads write, some of it taken back, a poller reads on: it sees what was kept,
    each once, numbered without gaps."""
    kept: list[str] = []

    def write(name: str) -> None:
        for number in range(12):
            subject = f"{name}{number}"
            if number % 3 == 2:
                taken_back(store, subject)
                continue
            with store.write() as connection:
                tell(connection, store, subject)
            kept.append(subject)

    poller = Poller(store)
    threads = [threading.Thread(target=write, args=(name,)) for name in "abcd"]
    for thread in threads:
        thread.start()
    while any(thread.is_alive() for thread in threads):
        poller.poll()
    poller.poll()
    assert len(kept) == 4 * 8
    assert sorted(map(str, poller.seen)) == sorted(kept)
    with store.read() as connection:
        assert find_kept(connection).last == len(kept)


def test_old_events_are_dropped_by_later_writes(store: Store, clock: Clock) -> None:
    """An event is kept for its days to the second; then a write drops it, some at a time, the
    oldest first, and the numbers go on."""
    tell_many(store, DROPPED_AT_ONCE + 20)
    clock.seconds += store.event_days * DAY
    assert kept_after_one_more(store) == (1, DROPPED_AT_ONCE + 21)
    clock.seconds += 1
    assert kept_after_one_more(store) == (DROPPED_AT_ONCE + 1, DROPPED_AT_ONCE + 22)
    assert kept_after_one_more(store) == (DROPPED_AT_ONCE + 21, DROPPED_AT_ONCE + 23)
    assert kept_after_one_more(store) == (DROPPED_AT_ONCE + 21, DROPPED_AT_ONCE + 24)


def test_events_are_kept_for_the_days_that_are_set(store: Store, clock: Clock) -> None:
    """With 3 days an event of 3 days and a second ago is dropped."""
    short = replace(store, event_days=3)
    tell_many(short, 1)
    clock.seconds += 3 * DAY + 1
    assert kept_after_one_more(short) == (2, 2)


def test_what_is_kept_has_no_holes_when_a_clock_was_wrong(store: Store, clock: Clock) -> None:
    """An event that was written by a clock that went ahead holds those after it: nothing is
    dropped from between."""
    clock.seconds += 1000 * DAY
    tell_many(store, 1)
    clock.seconds -= 1000 * DAY
    tell_many(store, 2)
    clock.seconds += store.event_days * DAY + 1
    assert kept_after_one_more(store) == (1, 4)


def kept_after_one_more(store: Store) -> tuple[int, int]:
    """What is kept once one more event was written."""
    tell_many(store, 1)
    with store.read() as connection:
        kept = find_kept(connection)
        everything, _ = read_events(connection, EVENT_TYPES, after=None, limit=1000)
    assert [event.id for event in everything] == list(range(kept.first, kept.last + 1))
    return kept.first, kept.last
