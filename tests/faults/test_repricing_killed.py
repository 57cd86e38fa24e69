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
from service.storage.saved_quotes import find_revision
from tests.given.counts import count_of
from tests.given.repricings import catalog_at, items_of, run, save_many, start

pytestmark = pytest.mark.no_cover  # processes that are killed tell of no coverage

FINISHED: tuple[EventType, ...] = ("repricing.finished",)
KILLS = count_of("KILLS", 10)
ROOT = Path(__file__).resolve().parents[2]
# A run that keeps its drafts whole, and a larger one that keeps them as what changes.
WHOLE, LARGE, CHUNK = 120, 240, 4
Write = Callable[[Store], AbstractContextManager[Connection]]
SEED = 20260504


@pytest.fixture
def summer(tmp_path: Path) -> Catalog:
    """Revision 2: every cost is 10 % higher."""
    return catalog_at(tmp_path, 2, "1.1")


@pytest.fixture(params=[WHOLE, LARGE])
def prepared(
    request: pytest.FixtureRequest,
    store: Store,
    tmp_path: Path,
    summer: Catalog,
    monkeypatch: pytest.MonkeyPatch,
) -> RepricingAnswer:
    """A finished preview of saved quotes; writing takes many small chunks."""
    for name in ("WRITE_CHUNK", "LARGE_CHUNK"):
        monkeypatch.setattr(f"service.operations.repricing.repricing_start.{name}", CHUNK)
    save_many(store, catalog_at(tmp_path, 1), request.param)
    return run(store, summer)


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


def assert_done_once(store: Store, catalog: Catalog, run_id: str, preview: RepricingAnswer) -> None:
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
            assert known_quote(connection, item["id"]).latest == 2
            saved = find_revision(connection, item["id"], 2)
        assert saved is not None
        digest = saved.head.facts.digest
        answer = json.loads(saved.answer)
        assert item["written"].get("digest", digest) == digest == answer["digest"]
        assert answer["price"]["total"] == item["new_total"]
        assert f"{saved.head.facts.total:f}" == item["new_total"] == totals[item["id"]]


def test_a_run_that_is_killed_goes_on(
    store: Store, tmp_path: Path, summer: Catalog, prepared: RepricingAnswer
) -> None:
    """Killed again and again at random, the run ends as an unbroken one.

    Every other process has done a chunk before it is killed, however slow the machine is.
    """
    chance = random.Random(SEED)  # noqa: S311  (which instant is all it decides)
    run_id = start(store, summer, mode="write", preview=prepared.id).asked.id
    words = [store.url, str(tmp_path / "at_2_1.1_0"), run_id]
    with started(words) as (orders, answers):
        for kill in range(KILLS):
            orders.write("another\n")
            (number,) = read_until(answers, "ready")
            if kill % 2:
                read_until(answers, "chunk", "over")
            time.sleep(chance.uniform(0, 0.12))
            with suppress(ProcessLookupError):  # it was done already
                os.kill(int(number), signal.SIGKILL)
    with store.read() as connection:
        before = read_repricing(connection, run_id, store.now()).counts.done
    assert before > 0
    work_off(store, summer, run_id)
    assert_done_once(store, summer, run_id, prepared)
    sys.stdout.write(
        f"{KILLS} kills, {before} of {prepared.counts.total} quotes done under them; seed {SEED}\n"
    )


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
