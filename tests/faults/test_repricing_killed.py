"""kill -9 in the middle of re-pricing: nothing lost, nothing done twice, no repair.

`python -m tests.large "kills of re-pricings"` takes larger numbers.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import pytest

from service.catalog import Catalog
from service.operations.repricing.repricing import work_off
from service.operations.repricing.repricing_answer import RepricingAnswer
from service.operations.repricing.repricing_reads import read_repricing
from service.operations.saved.saved_quote import known_quote
from service.operations.saved.waiting_answers import make_waiting
from service.storage import Connection, Store
from service.storage.events import EventType, list_events
from service.storage.repricings import OPEN
from service.storage.saved_quotes import find_revision
from tests.given.counts import count_of
from tests.given.repricings import catalog_at, items_of, run, save_many, start

pytestmark = pytest.mark.no_cover  # processes that are killed tell of no coverage

FINISHED: tuple[EventType, ...] = ("repricing.finished",)
KILLS = count_of("KILLS", 5)
ROOT = Path(__file__).resolve().parents[2]
# A run that keeps its drafts whole, and a larger one that keeps them as what changes.
WHOLE, LARGE, CHUNK = 60, 120, 4
# Where no process is killed, fewer do.
FEW = 12
STARTED_BY = "service.operations.repricing.repricing_start"
Write = Callable[[Store], AbstractContextManager[Connection]]
SEED = 20260504
# Of all kills: those that ended a process whose run was at work.
FEWEST_HITS = 0.8


@pytest.fixture(params=[WHOLE, LARGE])
def quotes(
    request: pytest.FixtureRequest, store: Store, spring: Catalog, monkeypatch: pytest.MonkeyPatch
) -> int:
    """So many saved quotes; writing takes many small chunks."""
    write_in_chunks(monkeypatch, WHOLE)
    return len(save_many(store, spring, request.param))


def write_in_chunks(monkeypatch: pytest.MonkeyPatch, whole: int) -> None:
    """From now on a run takes small chunks, and keeps so many drafts whole."""
    for name, count in {"WRITE_CHUNK": CHUNK, "LARGE_CHUNK": CHUNK, "MOST_AT_ONCE": whole}.items():
        monkeypatch.setattr(f"{STARTED_BY}.{name}", count)


@pytest.fixture(params=[FEW, 2 * FEW])
def prepared(
    request: pytest.FixtureRequest,
    store: Store,
    spring: Catalog,
    summer: Catalog,
    monkeypatch: pytest.MonkeyPatch,
) -> RepricingAnswer:
    """A finished preview of some quotes; twice as many are a larger run here."""
    write_in_chunks(monkeypatch, FEW)
    save_many(store, spring, request.param)
    preview = run(store, summer)
    assert preview.counts.total == request.param
    return preview


@dataclass(slots=True)
class Tally:
    """What kills of runs came to: how many there were, how many of them ended a process whose run
    was at work; runs; quotes that have the revision of their run, and that have more than it."""

    kills: int = 0
    hit: int = 0
    runs: int = 0
    found: int = 0
    doubled: int = 0

    def look(self, store: Store) -> None:
        """Count what a run wrote: each has written one revision beside the first."""
        self.runs += 1
        count = "SELECT quote_id, count(*) FROM quote_revision GROUP BY quote_id"
        with store.read() as connection:
            further = [number - 1 for _, number in connection.exec_driver_sql(count)]
        self.found += sum(number >= self.runs for number in further)
        self.doubled += sum(number > self.runs for number in further)


@contextmanager
def started(words: list[str]) -> Iterator[tuple[IO[str], IO[str]]]:
    """What is told to the process that starts others, and what they say."""
    command = [sys.executable, "-m", "tests.given.repricing_process", *words]
    with subprocess.Popen(
        command, cwd=ROOT, text=True, bufsize=1, stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        yield process.stdin, process.stdout
        process.stdin.close()
        assert process.wait(60) == 0


def read_until(answers: IO[str], *words: str) -> list[str]:
    """What is said after the first of some words."""
    for line in answers:
        said, *more = line.split()
        if said in words:
            return more
    raise AssertionError(f"nobody said {words}")


def assert_done_once(
    store: Store, catalog: Catalog, run_id: str, preview: RepricingAnswer, revision: int = 2
) -> None:
    """The run is over and told once, and every quote has exactly the revision that the preview
    showed, with an answer of that total."""
    quotes = preview.counts.total
    make_waiting(store, catalog)
    with store.read() as connection:
        answer = read_repricing(connection, run_id, store.now())
        told = list_events(connection, after=0, until=10_000, types=FINISHED, limit=10_000)
    assert [event.subject for event in told].count(run_id) == 1
    assert (answer.status, answer.counts.done) == ("succeeded", quotes)
    assert (answer.counts.failed, answer.counts.changed) == (0, quotes)
    assert answer.summary == preview.summary
    totals = {i["id"]: i["new_total"] for i in items_of(store, preview.id)}
    written = items_of(store, run_id)
    assert len({item["id"] for item in written}) == quotes
    for item in written:
        with store.read() as connection:
            assert known_quote(connection, item["id"]).latest == revision
            saved = find_revision(connection, item["id"], revision)
        assert saved is not None
        digest = saved.head.facts.digest
        answer = json.loads(saved.answer)
        assert item["written"].get("digest", digest) == digest == answer["digest"]
        assert answer["price"]["total"] == item["new_total"]
        assert f"{saved.head.facts.total:f}" == item["new_total"] == totals[item["id"]]


def is_open(store: Store, run_id: str) -> bool:
    """Whether a run has work left."""
    with store.read() as connection:
        return read_repricing(connection, run_id, store.now()).status in OPEN


def seconds_of_a_chunk(store: Store, catalog: Catalog, run_id: str) -> float:
    """Do one chunk, unbroken; how long it took."""
    began = time.monotonic()
    work_off(store, catalog, run_id, lambda _chunk: False)
    return time.monotonic() - began


def kill_at_work(
    store: Store, words: list[str], seconds: float, chance: random.Random, tally: Tally
) -> None:
    """Kill one process after the other while the run has work left. Each has done up to two
    chunks, and is somewhere within the time that one takes."""
    with started(words) as (orders, answers):
        while tally.kills < KILLS and is_open(store, words[-1]):
            orders.write("another\n")
            (number,) = read_until(answers, "ready")
            for _ in range(chance.randrange(3)):
                read_until(answers, "chunk", "over")
            time.sleep(chance.uniform(0, seconds))
            with suppress(ProcessLookupError):  # it was done already
                os.kill(int(number), signal.SIGKILL)
            read_until(answers, "gone")
            tally.kills += 1
            tally.hit += is_open(store, words[-1])


def test_a_run_that_is_killed_goes_on(store: Store, tmp_path: Path, quotes: int) -> None:
    """Killed again and again at work, a run ends as an unbroken one; where more kills are asked
    for than one run lasts, the next revision of the prices is written.

    Nearly every kill finds work, however fast or slow the machine is: but for those that are too
    late, each is drawn by what the run has done.
    """
    chance, tally = random.Random(SEED), Tally()  # noqa: S311  repeatable, no secret
    while tally.kills < KILLS:
        revision = tally.runs + 2
        factor = f"1.{revision:02}"
        catalog = catalog_at(tmp_path, revision, factor)
        preview = run(store, catalog)
        run_id = start(store, catalog, mode="write", preview=preview.id).asked.id
        seconds = seconds_of_a_chunk(store, catalog, run_id)
        words = [store.url, str(tmp_path / f"at_{revision}_{factor}_0"), run_id]
        kill_at_work(store, words, seconds, chance, tally)
        work_off(store, catalog, run_id)
        tally.look(store)
        assert_done_once(store, catalog, run_id, preview, revision)
    print(f"{tally}, {quotes} quotes a run; seed {SEED}")  # noqa: T201  the counts belong here
    assert (tally.found, tally.doubled) == (quotes * tally.runs, 0)
    assert tally.hit >= FEWEST_HITS * tally.kills


class KilledError(BaseException):
    """The process ends here."""


def end_before_the_chunk_is_finished(
    store: Store, catalog: Catalog, run_id: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Work until the quotes of the first chunk are written and nothing says that they are."""

    def killed(*_of: object) -> None:
        raise KilledError

    with monkeypatch.context() as patch:
        patch.setattr("service.operations.repricing.repricing._finish", killed)
        with pytest.raises(KilledError):
            work_off(store, catalog, run_id)


def test_a_run_that_ends_inside_a_chunk_goes_on(
    store: Store, summer: Catalog, prepared: RepricingAnswer, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The quotes of a chunk and what says that they are done are kept together or not at all."""
    run_id = start(store, summer, mode="write", preview=prepared.id).asked.id
    end_before_the_chunk_is_finished(store, summer, run_id, monkeypatch)
    work_off(store, summer, run_id)
    assert_done_once(store, summer, run_id, prepared)


def test_work_that_is_not_in_one_transaction_would_be_found(
    store: Store, summer: Catalog, prepared: RepricingAnswer, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The control: where quotes are committed apart from their chunk, the same end leaves a run
    that the check above turns down."""
    run_id = start(store, summer, mode="write", preview=prepared.id).asked.id
    with monkeypatch.context() as patch:
        patch.setattr(Store, "write", committing(Store.write))
        end_before_the_chunk_is_finished(store, summer, run_id, monkeypatch)
    work_off(store, summer, run_id)
    with pytest.raises(AssertionError):
        assert_done_once(store, summer, run_id, prepared)


def committing(write: Write) -> Write:
    """A transaction that is committed whatever happens in it."""

    @contextmanager
    def wrong(self: Store) -> Iterator[Connection]:
        held: BaseException | None = None
        with write(self) as connection:
            try:
                yield connection
            except BaseException as error:  # noqa: BLE001  (that is what is wrong with it)
                held = error
        if held is not None:
            raise held

    return wrong
