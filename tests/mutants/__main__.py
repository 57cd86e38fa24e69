"""Change the calculation in one place at a time and see whether its tests notice.

    python -m tests.mutants [FILE ...] [--count N] [--seed N] [--changed COMMIT] [--wide]

Without files, all of service/core. The tests of a file's room are tried, whole quotes, and those
that name the file; with `--wide`, what lives is tried with a wider set, which takes many minutes.
What lives is printed with its place; it is argued in `argued.txt`, or the command ends with 1.
"""

from __future__ import annotations

import argparse
import os
import random
import subprocess
import sys
import time
from collections import Counter
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
    "labor": ("tests/operations/quoting/test_machine_work.py",),
    "price": ("tests/api/test_quote_prices.py",),
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
    """A wider set of tests comes, which may notice yet."""


def try_near_then_wide(mutants: list[Mutant], jobs: int, *, wide: bool) -> dict[Mutant, str]:
    """How each change ended: with the tests near it, and if it lived, with a wider set."""
    tests = sorted(set().union(*(near(mutant.file) for mutant in mutants)))
    results = dict.fromkeys(mutants, LIVED)
    if tests:
        results = _apart(mutants, tests, jobs, shown=not wide)
    elif not wide:
        for mutant in mutants:
            tell(mutant, LIVED)
    lived = [mutant for mutant, result in results.items() if result == LIVED]
    if wide and lived:
        print(f"# {len(lived)} live; now a wider set of tests", flush=True)  # noqa: T201
        results |= _apart(lived, list(WIDE), jobs, shown=True)
    return results


def _apart(mutants: list[Mutant], tests: list[str], jobs: int, *, shown: bool) -> dict[Mutant, str]:
    """Try in a process that has loaded nothing yet, as pytest runs once in each."""
    reading, writing = os.pipe()
    if not os.fork():
        status = 1
        try:
            results = try_all(mutants, tests, tell if shown else _say_nothing, jobs)
            lines = "".join(f"{results[mutant]}\n" for mutant in mutants)
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
    return dict(zip(mutants, words, strict=True))


def main(words: list[str]) -> int:
    """Run from the command line: 1 where a change lives that nobody argued."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", metavar="FILE")
    parser.add_argument("--count", type=int, default=0, help="so many; 0 for all")
    parser.add_argument("--seed", type=int, default=20260504)
    parser.add_argument("--changed", metavar="COMMIT", help="files that differ from this commit")
    parser.add_argument("--jobs", type=int, default=2, help="changes tried at a time")
    parser.add_argument("--wide", action="store_true", help="try what lives with more tests")
    given = parser.parse_args(words)
    files = changed_since(given.changed) if given.changed else given.files or core_files()
    began, known = time.monotonic(), argued()
    mutants = select(files, given.count, given.seed)
    results = try_near_then_wide(mutants, given.jobs, wide=given.wide) if mutants else {}
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
