"""The large figures of bulk re-pricing, by one command.

    python -m tests.benchmarks.bulk [--quotes N ...] [--compact N ...] [--seed N] [--folder DIR]

Quotes are saved, previewed and written in numbers of `--quotes`, with their answers beside them;
those of `--compact` in processes of their own with columns alone, for memory and growth. Prints
counts, seed and versions, then ratios of CPU measured in this one run; ends with 1 where a goal is
missed. A hundred thousand quotes take some minutes and 2 GB of disk; a million compact ones as
many (`--compact 10000 100000 1000000`).
"""

from __future__ import annotations

import argparse
import platform
import sqlite3
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from itertools import pairwise
from pathlib import Path

from tests.benchmarks.bulk_figures import (
    Alone,
    Arithmetic,
    EndToEnd,
    exponent,
    measure_alone,
    measure_arithmetic,
    measure_one_by_one,
    measure_runs,
)
from tests.benchmarks.season import DIFFERENT, LINES, Season, catalog_with, season
from tests.benchmarks.spreadsheet import NotRecalculatedError, find_program, measure_spreadsheet

LIBRARIES = ("numpy", "sqlalchemy", "msgspec")
SHEET = 10_000


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One ratio: what it is, how large, and its goal, if it has one."""

    name: str
    value: float
    most: float | None = None
    least: float | None = None

    @property
    def missed(self) -> bool:
        """Whether it is beyond its goal."""
        return (self.most is not None and self.value > self.most) or (
            self.least is not None and self.value < self.least
        )

    def __str__(self) -> str:
        goal = "" if self.most is None else f"  (at most {self.most:g})"
        goal += "" if self.least is None else f"  (at least {self.least:g})"
        return f"  {self.name:58} {self.value:10.3f}{goal}{'  MISSED' if self.missed else ''}"


def arithmetic_figures(found: Arithmetic) -> Iterator[Figure]:
    """In memory, per quote."""
    yield Figure(
        name="columns / NumPy for these quotes alone", value=found.ours / found.numpy, most=1.5
    )
    yield Figure(name="Decimal loop / columns", value=found.decimal / found.ours, least=15)
    yield Figure(name="ordinary price / columns", value=found.ordinary / found.ours, least=25)
    name = "ordinary price / columns, list with freight"
    yield Figure(name=name, value=found.freight_ordinary / found.freight, least=25)
    yield Figure(name="columns with freight / without", value=found.freight / found.ours)
    yield Figure(name="unpacking / columns", value=found.reading / found.ours)


def run_figures(found: EndToEnd, one_by_one: float) -> Iterator[Figure]:
    """From choosing quotes to kept items and drafts."""
    yield Figure(name="preview: us a quote", value=found.preview * 1e6)
    yield Figure(name="write as what changes: us a quote", value=found.write * 1e6)
    yield Figure(name="ordinary path / preview", value=found.ordinary / found.preview, least=25)
    yield Figure(name="whole, one by one / write", value=one_by_one / found.write, least=25)


def growth_figures(found: Sequence[Alone]) -> Iterator[Figure]:
    """Of processes of their own, from each number to the next, and over all of them."""
    for one, other in pairwise(found):
        name = f"peak memory, {other.count} / {one.count}"
        yield Figure(name=name, value=other.peak / one.peak, most=1.25)
    for name in ("preview", "write"):
        yield Figure(name=f"growth exponent, {name}", value=exponent(found, name), most=1.02)


def sheet_figures(folder: Path, quotes: Season, ours: float) -> Iterator[Figure | str]:
    """Against a spreadsheet program, where one is installed; else a line that says why not."""
    program = find_program()
    if program is None:
        yield "  spreadsheet: skipped, no soffice or libreoffice is installed"
        return
    try:
        found = measure_spreadsheet(program, folder, quotes, SHEET)
    except NotRecalculatedError as error:
        yield f"  spreadsheet: no figure, {program} did not recalculate: {error}"
        return
    name = "spreadsheet, opening to saving / preview"
    yield Figure(name=name, value=found.whole / SHEET / ours, least=8)
    name = "spreadsheet, recalculation alone / preview"
    yield Figure(name=name, value=found.recalculation / SHEET / ours)


def figures(asked: argparse.Namespace, folder: Path) -> Iterator[Figure | str]:
    """Everything, in order, as it is measured."""
    plain, brought = season(asked.seed), season(asked.seed, freight=True)
    yield f"in memory, quotes of {LINES} lines"
    yield from arithmetic_figures(measure_arithmetic(plain, brought))
    preview = 0.0
    for name, quotes in (("plain", plain), ("freight", brought)):
        now = catalog_with(quotes.now)
        one_by_one = measure_one_by_one(folder, quotes, now)
        for count in asked.quotes:
            yield f"{count} quotes, {name} list"
            found = measure_runs(folder, quotes, now, count)
            preview = preview or found.preview
            yield from run_figures(found, one_by_one)
    yield "compact quotes, in processes of their own"
    alone = []
    for count in asked.compact:
        alone.append(found_alone := measure_alone(folder, plain, count, "write"))
        yield (
            f"  {count} quotes: preview {found_alone.preview:.2f} s, write "
            f"{found_alone.write:.2f} s, peak {found_alone.peak / 1024:.0f} MiB"
        )
    yield from growth_figures(alone)
    yield f"spreadsheet, {SHEET} quotes"
    yield from sheet_figures(folder, plain, preview)


def heading(asked: argparse.Namespace) -> str:
    """What the figures were measured with."""
    libraries = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    return (
        f"seed {asked.seed}; {DIFFERENT} different quotes, repeated; whole {asked.quotes}, compact "
        f"{asked.compact}\nPython {platform.python_version()}, SQLite {sqlite3.sqlite_version}, "
        f"{libraries}; {platform.system()} {platform.machine()}"
    )


def main(arguments: Sequence[str]) -> int:
    """Measure and print; the number of goals that were missed decides the exit code."""
    parser = argparse.ArgumentParser(prog="tests.benchmarks.bulk", description=__doc__)
    parser.add_argument("--quotes", type=int, nargs="+", default=[10_000])
    parser.add_argument("--compact", type=int, nargs="+", default=[10_000, 100_000])
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--folder", type=Path, help="where databases are kept meanwhile")
    asked = parser.parse_args(arguments)
    print(heading(asked), flush=True)  # noqa: T201
    missed = []
    with tempfile.TemporaryDirectory(dir=asked.folder) as folder:
        for each in figures(asked, Path(folder)):
            print(each, flush=True)  # noqa: T201
            if isinstance(each, Figure) and each.missed:
                missed.append(each.name)
    print("every goal is met" if not missed else f"missed: {'; '.join(missed)}")  # noqa: T201
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
