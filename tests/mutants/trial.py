"""Try changes with tests that are collected once: each in a process of its own, forked off.

Which tests call a function is found by one run of all of them, unchanged; the quickest go first.
"""

from __future__ import annotations

import builtins
import os
import pickle
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from tests.mutants.places import ROOT, Mutant
from tests.mutants.swapped import SEEN, instrument, swap_mutant

KILLED, LIVED, TIMEOUT, UNTRIED = "killed", "lived", "timeout", "untried"
# How a process that tried a change ends; any other way is a crash, which is a test that failed.
EXITS = {0: LIVED, 3: UNTRIED, -signal.SIGKILL: TIMEOUT}
# A trial has this many times as long as its tests take unchanged, and some seconds more.
PATIENCE, GRACE_S = 10, 60.0

Called = dict[tuple[str, str], list[int]]


class SuiteRedError(Exception):
    """Tests fail with nothing changed, or can't be collected: no change can be judged."""


@dataclass
class Baseline:
    """What the unchanged run found: who calls what, and the seconds of each test."""

    called: Called = field(default_factory=dict)
    seconds: dict[int, float] = field(default_factory=dict)
    failed: list[str] = field(default_factory=list)


@dataclass(kw_only=True)
class Trials:
    """A plugin of pytest: instead of a run, a trial of each change.

    `told` is called with each change and how it ended.
    """

    mutants: list[Mutant]
    told: Callable[[Mutant, str], None]
    jobs: int = 2
    results: dict[Mutant, str] = field(default_factory=dict)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run everything once unchanged, then what concerns each change."""
        if session.testsfailed:
            raise session.Interrupted("not every test could be collected")
        session.config._tmp_path_factory.getbasetemp()  # type: ignore[attr-defined]  # noqa: SLF001
        base = self._baseline(session)
        if base.failed:
            raise session.Failed(f"red with nothing changed: {', '.join(base.failed)}")
        running: dict[int, tuple[Mutant, float]] = {}
        for mutant in self.mutants:
            items = sorted(base.called.get((mutant.file, mutant.function), []), key=_by(base))
            if not items:
                self._end(mutant, LIVED)
                continue
            while len(running) >= self.jobs:
                self._reap(running)
            limit = GRACE_S + PATIENCE * sum(base.seconds[each] for each in items)
            pid = _fork(lambda m=mutant, i=items: _try_one(session, m, i))  # type: ignore[misc]
            running[pid] = mutant, time.monotonic() + limit
        while running:
            self._reap(running)
        return True

    def _baseline(self, session: pytest.Session) -> Baseline:
        with TemporaryDirectory() as folder:
            kept = Path(folder) / "baseline"
            files = sorted({mutant.file for mutant in self.mutants})
            _, status = os.waitpid(_fork(lambda: _measure(session, files, kept)), 0)
            if status:
                return Baseline(failed=["the process that runs it"])
            return pickle.loads(kept.read_bytes())  # type: ignore[no-any-return]  # noqa: S301

    def _reap(self, running: dict[int, tuple[Mutant, float]]) -> None:
        """Wait until one has ended; kill what is over its time."""
        while True:
            for pid, (mutant, until) in list(running.items()):
                if time.monotonic() > until:
                    os.kill(pid, signal.SIGKILL)
                ended, status = os.waitpid(pid, os.WNOHANG)
                if ended:
                    del running[pid]
                    self._end(mutant, EXITS.get(os.waitstatus_to_exitcode(status), KILLED))
                    return
            time.sleep(0.01)

    def _end(self, mutant: Mutant, result: str) -> None:
        self.results[mutant] = result
        self.told(mutant, result)


def _by(base: Baseline) -> Callable[[int], float]:
    return lambda item: base.seconds[item]


def _fork(work: Callable[[], int]) -> int:
    """Do something in a process of its own, silently; its id."""
    sys.stdout.flush()
    if pid := os.fork():
        return pid
    with Path(os.devnull).open("wb") as silent:
        os.dup2(silent.fileno(), 1)
        os.dup2(silent.fileno(), 2)
    try:
        os._exit(work())
    except BaseException:  # noqa: BLE001  whatever it was, a change broke it
        os._exit(1)


def _run(session: pytest.Session, item: pytest.Item, following: pytest.Item | None) -> None:
    session.config.hook.pytest_runtest_protocol(item=item, nextitem=following)


def _measure(session: pytest.Session, files: list[str], kept: Path) -> int:
    """Run every test with functions that tell; keep what was found."""
    base, seen, called = Baseline(), set[tuple[str, str]](), defaultdict[tuple[str, str], list[int]]
    found = called(list)
    setattr(builtins, SEEN, lambda file, name: seen.add((file, name)))
    instrument(files)
    for place, item in enumerate(session.items):
        seen.clear()
        before, began = session.testsfailed, time.monotonic()
        _run(session, item, _next(session.items, place))
        base.seconds[place] = time.monotonic() - began
        if session.testsfailed > before:
            base.failed.append(item.nodeid)
        for key in seen:
            found[key].append(place)
    base.called = dict(found)
    kept.write_bytes(pickle.dumps(base))
    return 0


def _next(items: list[pytest.Item], place: int) -> pytest.Item | None:
    return items[place + 1] if place + 1 < len(items) else None


def _try_one(session: pytest.Session, mutant: Mutant, places: list[int]) -> int:
    """Make one change and run tests until one fails: 1 where one did, 3 where nothing changed."""
    if not swap_mutant(mutant.file, mutant.number):
        return 3
    items = [session.items[place] for place in places]
    for place, item in enumerate(items):
        _run(session, item, _next(items, place))
        if session.testsfailed:
            return 1
    return 0


def try_all(
    mutants: list[Mutant], tests: Iterable[str], told: Callable[[Mutant, str], None], jobs: int = 2
) -> dict[Mutant, str]:
    """Try each change with these tests (paths below the repository): how each ended.

    Raises SuiteRedError where the tests fail with nothing changed.
    """
    trials = Trials(mutants=mutants, told=told, jobs=jobs)
    with TemporaryDirectory() as folder:
        words = ["-q", "-s", "-p", "no:randomly", "-p", "no:cacheprovider", "-p", "no:xdist"]
        place = [f"--rootdir={ROOT}", f"--basetemp={folder}/tests", "--no-header", "--no-summary"]
        pytest.main([*words, *place, *tests], plugins=[trials])
    if len(trials.results) < len(mutants):
        raise SuiteRedError("the tests are red with nothing changed, or can't be collected")
    return trials.results
