"""Change the calculation in one place at a time and see whether its tests notice.

    python -m tests.mutants [FILE ...] [--count N] [--seed N] [--changed COMMIT] [--wide]

Without files, all of service/core. The tests of a file's room are tried, whole quotes, and those
that name the file; with `--wide`, a wider set: all of the core takes an hour and more then.
What lives is printed with its place; it is argued in `argued.txt`, or the command ends with 1.
"""

from __future__ import annotations

import argparse
import math
import os
import random
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.mutants.places import ROOT, Mutant, mutants_of
from tests.mutants.trial import LIVED, UNTRIED, SuiteRedError, try_all

CORE = Path("service/core")
# Quotes of all sorts whose answers are kept.
GOLDEN = ("tests/openapi/test_examples.py", "tests/answers/test_answers.py")
WIDE = (
    "tests/core",
    "tests/reference",
    "tests/api/test_quotes.py",
    "tests/api/test_quote_prices.py",
    "tests/api/test_quote_cautions.py",
    "tests/api/test_would_pass.py",
    *GOLDEN,
    "tests/operations/repricing",
)
# What holds a room from farther away: whole quotes, as callers get them.
WHOLE = {
    "cautions": (
        "tests/api/test_quote_cautions.py",
        "tests/operations/quoting/test_safety_cautions.py",
    ),
    "job": ("tests/operations/paper/test_payments.py",),
    "labor": (
        "tests/operations/quoting/test_derived_conditions.py",
        "tests/operations/quoting/test_machine_work.py",
    ),
    "price": ("tests/api/test_quote_prices.py", "tests/api/test_stock_repriced.py"),
    "reprice": (
        "tests/operations/repricing/test_repricing.py",
        "tests/operations/repricing/test_prices_that_are_out.py",
        "tests/reference/test_repricing_second_method.py",
    ),
    "takeoff": (
        "tests/api/test_quotes.py",
        "tests/operations/quoting/test_site_work_request.py",
        "tests/operations/quoting/test_own_topsoil.py",
    ),
    "would_pass": ("tests/api/test_would_pass.py",),
}
QUICK_S = 6.0  # of tests for each change, before those that take longer
ARGUED = Path(__file__).with_name("argued.txt")


def argued() -> dict[str, str]:
    """Changes that may live, by name, each with why nothing could notice it."""
    lines = ARGUED.read_text("utf-8").splitlines()
    rows = [line.split(" -- ", 1) for line in lines if line and not line.startswith("#")]
    return {name.strip(): why.strip() for name, why in rows}


def core_files() -> list[str]:
    """Every module of the core."""
    return sorted(str(path.relative_to(ROOT)) for path in (ROOT / CORE).rglob("*.py"))


def changed_since(commit: str) -> list[str]:
    """The modules of the core that differ from a commit's."""
    words = ["git", "diff", "--name-only", "--diff-filter=d", commit, "--", f"{CORE}/*.py"]
    done = subprocess.run(words, cwd=ROOT, check=True, capture_output=True, text=True)
    return done.stdout.split()


def near(file: str) -> set[str]:
    """The tests of a module's room, whole quotes, and tests of the core that name the module."""
    path = Path(file)
    module = ".".join(path.with_suffix("").parts)
    tests = [*(ROOT / "tests/core").rglob("test_*.py"), *(ROOT / "tests/reference").glob("test_*")]
    found = {test for test in tests if f"{module} import" in test.read_text("utf-8")}
    if len(path.relative_to(CORE).parts) > 1:
        room = path.relative_to(CORE).parts[0]
        found |= set((ROOT / "tests/core" / room).rglob("test_*.py"))
        found |= {ROOT / test for test in (*WHOLE.get(room, ()), *GOLDEN)}
    return {str(test.relative_to(ROOT)) for test in found}


def select(files: list[str], count: int, seed: int) -> list[Mutant]:
    """So many changes of these files, the same for the same seed; all where there are fewer."""
    found = [each for file in files for each in mutants_of(file, (ROOT / file).read_text("utf-8"))]
    if 0 < count < len(found):
        found = random.Random(seed).sample(found, count)  # noqa: S311  a sample, no secret
    return sorted(found)


def tell(mutant: Mutant, result: str) -> None:
    """Print one change that no test noticed, unless it is argued."""
    if result in {LIVED, UNTRIED} and mutant.name not in argued():
        place = f"{mutant.file}:{mutant.line} {mutant.function}"
        print(f"{result} {place}: {mutant.change}", flush=True)  # noqa: T201


def _say_nothing(_mutant: Mutant, _result: str) -> None:
    """It is tried again with more."""


def try_near(mutants: list[Mutant], jobs: int) -> dict[Mutant, str]:
    """How each change ended with the tests near it."""
    tests = sorted(set().union(*(near(mutant.file) for mutant in mutants)))
    if tests:
        return _apart(Asked(mutants, tests, jobs, tell))
    for mutant in mutants:
        tell(mutant, LIVED)
    return dict.fromkeys(mutants, LIVED)


def try_wide(mutants: list[Mutant], jobs: int) -> dict[Mutant, str]:
    """How each change ended with a wide set of tests: first the quick ones, then all."""
    wide = {*WIDE, *(test for tests in WHOLE.values() for test in tests)}
    tests = sorted(test for test in wide if not any(test.startswith(f"{each}/") for each in wide))
    results = _apart(Asked(mutants, tests, jobs, _say_nothing, QUICK_S))
    lived = [mutant for mutant, result in results.items() if result in {LIVED, UNTRIED}]
    print(f"# {len(lived)} of {len(mutants)} live; now the slow tests, too", flush=True)  # noqa: T201
    return results | (_apart(Asked(lived, tests, jobs, tell)) if lived else {})


@dataclass(frozen=True)
class Asked:
    """Changes to try with tests; `told` is called with each change and how it ended."""

    mutants: list[Mutant]
    tests: list[str]
    jobs: int
    told: Callable[[Mutant, str], None]
    within: float = math.inf


def _apart(asked: Asked) -> dict[Mutant, str]:
    """Try in a process that has loaded nothing yet, as pytest runs once in each."""
    reading, writing = os.pipe()
    if not os.fork():
        status = 1
        try:
            results = try_all(
                asked.mutants, asked.tests, asked.told, jobs=asked.jobs, within=asked.within
            )
            lines = "".join(f"{results[mutant]}\n" for mutant in asked.mutants)
            os.write(writing, lines.encode())
            status = 0
        except SuiteRedError as error:
            print(error, file=sys.stderr, flush=True)  # noqa: T201
        finally:
            os._exit(status)
    os.close(writing)
    with os.fdopen(reading, encoding="utf-8") as told:
        words = told.read().split()
    _, status = os.wait()
    if status:
        raise SystemExit(2)
    return dict(zip(asked.mutants, words, strict=True))


def main(words: list[str]) -> int:
    """Run from the command line: 1 where a change lives that nobody argued."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", metavar="FILE")
    parser.add_argument("--count", type=int, default=0, help="so many; 0 for all")
    parser.add_argument("--seed", type=int, default=20260504)
    parser.add_argument("--changed", metavar="COMMIT", help="files that differ from this commit")
    parser.add_argument("--jobs", type=int, default=2, help="changes tried at a time")
    parser.add_argument("--wide", action="store_true", help="try more tests")
    given = parser.parse_args(words)
    files = changed_since(given.changed) if given.changed else given.files or core_files()
    os.environ["TEST_LONG_ANSWERS"] = "1"
    began, known = time.monotonic(), argued()
    mutants = select(files, given.count, given.seed)
    results = (try_wide if given.wide else try_near)(mutants, given.jobs) if mutants else {}
    ended = Counter(
        "argued" if result == LIVED and mutant.name in known else result
        for mutant, result in results.items()
    )
    counts = ", ".join(f"{count} {what}" for what, count in sorted(ended.items()))
    took = time.monotonic() - began
    print(f"{len(mutants)} changes, seed {given.seed}, {took:.0f} s: {counts or 'none'}")  # noqa: T201
    return int(ended[LIVED] > 0 or ended[UNTRIED] > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
