"""Try changes with tests that are collected once: each in a process of its own, forked off.

Which tests a change makes a difference to is found by one run of all of them, unchanged. Those
that noticed the last changes go first, then the quickest.
"""

from __future__ import annotations

import builtins
import math
import mmap
import os
import pickle
import resource
import signal
import struct
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import accumulate
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from tests.mutants.differing import seen_by, telling
from tests.mutants.places import ROOT, Mutant
from tests.mutants.swapped import Loaded

KILLED, LIVED, TIMEOUT, UNTRIED = "killed", "lived", "timeout", "untried"
# How a process that tried a change ends; any other way is a crash, which is a test that failed.
EXITS = {0: LIVED, 3: UNTRIED, -signal.SIGALRM: TIMEOUT}
# A test has this many times as long as it takes unchanged, and some seconds more.
PATIENCE, GRACE_S = 10, 5.0
# What never ends may go on filling its memory.
MEMORY_BYTES = 4 << 30
# So many tests that noticed the last changes are tried first.
REMEMBERED = 8


class SuiteRedError(Exception):
    """Tests fail with nothing changed, or can't be collected: no change can be judged."""


@dataclass
class Baseline:
    """What the unchanged run found: the tests that a change differs in, and their seconds.

    Tests are known by their places among the collected ones.
    """

    differing: dict[Mutant, list[int]] = field(default_factory=dict)
    seconds: dict[int, float] = field(default_factory=dict)
    failed: list[str] = field(default_factory=list)


@dataclass(kw_only=True)
class Trials:
    """A plugin of pytest: instead of a run, a trial of each change.

    `told` is called with each change and how it ended. Tests that together take longer than
    `within`, in seconds, are left out, the slowest first.
    """

    mutants: list[Mutant]
    told: Callable[[Mutant, str], None]
    jobs: int = 2
    within: float = math.inf
    results: dict[Mutant, str] = field(default_factory=dict)
    noticed: list[int] = field(default_factory=list)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run everything once unchanged, then what concerns each change."""
        if session.testsfailed:
            raise session.Interrupted("not every test could be collected")
        session.config._tmp_path_factory.getbasetemp()  # type: ignore[attr-defined]  # noqa: SLF001
        loaded = Loaded({mutant.file for mutant in self.mutants})
        base = self._baseline(session, loaded)
        if base.failed:
            raise session.Failed(f"red with nothing changed: {', '.join(base.failed)}")
        running: dict[int, int] = {}
        last = mmap.mmap(-1, 4 * len(self.mutants) + 4)
        for number, mutant in enumerate(self.mutants):
            items = self._in_order(base, mutant)
            if not items:
                self._end(mutant, LIVED)
                continue
            while len(running) >= self.jobs:
                self._reap(running, last)
            timed = [(each, GRACE_S + PATIENCE * base.seconds[each]) for each in items]
            trial = Trial(session, loaded, mutant, timed, last, 4 * number)
            running[_fork(trial.run)] = number
        while running:
            self._reap(running, last)
        return True

    def _in_order(self, base: Baseline, mutant: Mutant) -> list[int]:
        """The tests that a change differs in: those that noticed others, then the quickest."""
        items = sorted(base.differing.get(mutant, []), key=lambda each: base.seconds[each])
        first = [each for each in self.noticed if each in items]
        spent = accumulate((base.seconds[each] for each in items), initial=0.0)
        others = [each for each, before in zip(items, spent, strict=False) if before < self.within]
        return first + [each for each in others if each not in first]

    def _baseline(self, session: pytest.Session, loaded: Loaded) -> Baseline:
        """Each job runs a part of the tests."""
        whole = Baseline()
        with TemporaryDirectory() as folder:
            parts = [Path(folder) / str(job) for job in range(self.jobs)]
            places = [list(range(len(session.items)))[job :: self.jobs] for job in range(self.jobs)]
            works = [
                Measuring(session, loaded, self.mutants, *each)
                for each in zip(places, parts, strict=True)
            ]
            for pid in [_fork(work.run) for work in works]:
                if os.waitpid(pid, 0)[1]:
                    whole.failed.append("the process that runs it")
            for part in parts if not whole.failed else ():
                found: Baseline = pickle.loads(part.read_bytes())  # noqa: S301  our own
                whole.seconds |= found.seconds
                whole.failed += found.failed
                for mutant, items in found.differing.items():
                    whole.differing.setdefault(mutant, []).extend(items)
        return whole

    def _reap(self, running: dict[int, int], last: mmap.mmap) -> None:
        """Wait until one has ended."""
        pid, status = os.wait()
        number = running.pop(pid)
        result = EXITS.get(os.waitstatus_to_exitcode(status), KILLED)
        if result == KILLED:
            self._remember(last, 4 * number)
        self._end(self.mutants[number], result)

    def _remember(self, last: mmap.mmap, at: int) -> None:
        (item,) = struct.unpack_from("i", last, at)
        others = [each for each in self.noticed if each != item]
        self.noticed = [item, *others][:REMEMBERED]

    def _end(self, mutant: Mutant, result: str) -> None:
        self.results[mutant] = result
        self.told(mutant, result)


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


@dataclass(frozen=True)
class Measuring:
    """Some tests, run unchanged with functions that tell what would differ; `kept` is a file."""

    session: pytest.Session
    loaded: Loaded
    mutants: list[Mutant]
    places: list[int]
    kept: Path

    def run(self) -> int:
        """Run every test; keep what was found."""
        base, seen, found = Baseline(), set[int](), defaultdict[int, list[int]](list)
        numbers = self._instrument(seen)
        for place, following in zip(self.places, [*self.places[1:], None], strict=True):
            self.loaded.forget()
            seen.clear()
            item = self.session.items[place]
            before, began = self.session.testsfailed, time.monotonic()
            _run(self.session, item, None if following is None else self.session.items[following])
            base.seconds[place] = time.monotonic() - began
            if self.session.testsfailed > before:
                base.failed.append(item.nodeid)
            for number in seen:
                found[number].append(place)
        base.differing = {each: found[number] for each, number in numbers.items()}
        self.kept.write_bytes(pickle.dumps(base))
        return 0

    def _instrument(self, seen: set[int]) -> dict[Mutant, int]:
        """Make each file tell; the numbers by which its changes are told."""
        for name, told in seen_by(seen).items():
            setattr(builtins, name, told)
        files = sorted({mutant.file for mutant in self.mutants})
        first = {file: at * 100_000 for at, file in enumerate(files)}
        for file in files:
            self.loaded.swap(file, telling((ROOT / file).read_text("utf-8"), first[file]))
        return {each: first[each.file] + each.number for each in self.mutants}


@dataclass(frozen=True)
class Trial:
    """A change, and the places of the tests to run, each with the seconds that it has; `last`, at
    `at`, says which ran last."""

    session: pytest.Session
    loaded: Loaded
    mutant: Mutant
    places: list[tuple[int, float]]
    last: mmap.mmap
    at: int

    def run(self) -> int:
        """Make the change and run tests until one fails: 1 where one did, 3 where nothing
        changed."""
        if not self.loaded.swap_mutant(self.mutant.file, self.mutant.number):
            return 3
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
        items = [self.session.items[place] for place, _ in self.places]
        for number, (place, seconds) in enumerate(self.places):
            struct.pack_into("i", self.last, self.at, place)
            signal.setitimer(signal.ITIMER_REAL, seconds)
            _run(self.session, items[number], next(iter(items[number + 1 :]), None))
            if self.session.testsfailed:
                return 1
        return 0


def try_all(
    mutants: list[Mutant],
    tests: Iterable[str],
    told: Callable[[Mutant, str], None],
    *,
    jobs: int = 2,
    within: float = math.inf,
) -> dict[Mutant, str]:
    """Try each change with these tests (paths below the repository), the quickest that take no
    more seconds than `within`: how each ended.

    Raises SuiteRedError where the tests fail with nothing changed.
    """
    trials = Trials(mutants=mutants, told=told, jobs=jobs, within=within)
    with TemporaryDirectory() as folder:
        words = ["-q", "-s", "-p", "no:randomly", "-p", "no:cacheprovider", "-p", "no:xdist"]
        place = [f"--rootdir={ROOT}", f"--basetemp={folder}/tests", "--no-header", "--no-summary"]
        pytest.main([*words, *place, *tests], plugins=[trials])
    if len(trials.results) < len(mutants):
        raise SuiteRedError("the tests are red with nothing changed, or can't be collected")
    return trials.results
