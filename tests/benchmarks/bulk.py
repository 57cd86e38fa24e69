"""The large figures of bulk re-pricing, by one command.

    python -m tests.benchmarks.bulk [--quotes N ...] [--compact N ...] [--seed N] [--folder DIR]
                                    [--server URL]

Quotes are saved, previewed and written in numbers of `--quotes`, with their answers beside them,
on SQLite and, where there is a server, on PostgreSQL; those of `--compact` in processes of their
own with columns alone, for memory and growth. Prints counts, seed and versions, then ratios of CPU
measured in this one run (of the server's processes as well); ends with 1 where a goal is missed.
`python -m tests.cluster python -m tests.benchmarks.bulk` starts a server beside it. A hundred
thousand quotes take some minutes and 2 GB of disk; a million compact ones as many
(`--compact 10000 100000 1000000`).
"""

from __future__ import annotations

import argparse
import os
import platform
import sqlite3
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
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
    sqlite_url,
)
from tests.benchmarks.season import DIFFERENT, LINES, Season, catalog_with, season
from tests.benchmarks.spreadsheet import NotRecalculatedError, find_program, measure_spreadsheet
from tests.cluster import VARIABLE
from tests.given.stores import Server

LIBRARIES = ("numpy", "sqlalchemy", "msgspec")
SHEET = 10_000
US = "us a quote"


@dataclass(frozen=True, kw_only=True)
class Figure:
    """What it is, how large, its goal if it has one; `unit` x: how many times as much."""

    name: str
    value: float
    unit: str = "x"
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
        missed = "  MISSED" if self.missed else ""
        return f"  {self.name:52} {self.value:10.3f} {self.unit}{goal}{missed}"


def arithmetic_figures(found: Arithmetic) -> Iterator[Figure]:
    """In memory, per quote."""
    yield Figure(name="columns", value=found.ours * 1e6, unit=US)
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
    yield Figure(name="preview", value=found.preview * 1e6, unit=US)
    yield Figure(name="write, as what changes", value=found.write * 1e6, unit=US)
    yield Figure(name="ordinary path / preview", value=found.ordinary / found.preview, least=25)
    yield Figure(name="whole, one by one / write", value=one_by_one / found.write, least=25)


def growth_figures(found: Sequence[Alone]) -> Iterator[Figure]:
    """Of processes of their own, from each number to the next, and over all of them; of one number
    alone nothing can be said."""
    for one, other in pairwise(found):
        name = f"peak memory, {other.count} / {one.count}"
        yield Figure(name=name, value=other.peak / one.peak, most=1.25)
    for name in ("preview", "write") if len(found) > 1 else ():
        yield Figure(
            name=f"growth exponent, {name}", value=exponent(found, name), unit="", most=1.02
        )


def sheet_figures(
    folder: Path, quotes: Season, preview: float, columns: float
) -> Iterator[Figure | str]:
    """Against a spreadsheet program, where one is installed; else a line that says why not.
    `preview` and `columns`: seconds of a quote."""
    program = find_program()
    if program is None:
        yield "  spreadsheet: skipped, no soffice or libreoffice is installed"
        return
    try:
        found = measure_spreadsheet(program, folder, quotes, SHEET)
    except NotRecalculatedError as error:
        yield f"  spreadsheet: no figure, {program} did not recalculate: {error}"
        return
    name = "opening, recalculation and saving / preview"
    yield Figure(name=name, value=found.whole / SHEET / preview, least=8)
    alone = found.recalculation / SHEET
    yield Figure(name="recalculation alone / preview", value=alone / preview)
    yield Figure(name="recalculation alone / columns", value=alone / columns)


def figures(asked: argparse.Namespace, folder: Path) -> Iterator[Figure | str]:
    """Everything, in order, as it is measured."""
    plain, brought = season(asked.seed), season(asked.seed, freight=True)
    yield f"in memory, quotes of {LINES} lines"
    arithmetic = measure_arithmetic(plain, brought)
    yield from arithmetic_figures(arithmetic)
    previews: list[float] = []
    yield from database_figures(asked, (plain, brought), SQLite(folder), previews)
    if asked.server is None:
        yield "PostgreSQL: skipped, --server names none"
    else:
        yield from database_figures(asked, (plain, brought), Server(asked.server), [])
    yield "compact quotes on SQLite, in processes of their own"
    alone = []
    for count in asked.compact:
        alone.append(found_alone := measure_alone(folder, plain, count, "write"))
        yield (
            f"  {count} quotes: preview {found_alone.preview:.2f} s, write "
            f"{found_alone.write:.2f} s, peak {found_alone.peak / 1024:.0f} MiB; they come to "
            f"{found_alone.total:,}, as by Decimals"
        )
    yield from growth_figures(alone)
    yield f"spreadsheet of {SHEET} quotes"
    yield from sheet_figures(folder, plain, previews[0], arithmetic.ours)


def database_figures(
    asked: argparse.Namespace,
    seasons: tuple[Season, Season],
    server: SQLite | Server,
    previews: list[float],
) -> Iterator[Figure | str]:
    """Runs on one kind of database, without freight and with it; adds seconds of previews."""
    kind = "SQLite" if isinstance(server, SQLite) else "PostgreSQL"
    for name, quotes in zip(("plain", "freight"), seasons, strict=True):
        now = catalog_with(quotes.now)
        with server.empty_database() as url:
            one_by_one = measure_one_by_one(url, quotes, now)
        for count in asked.quotes:
            yield f"{count} quotes on {kind}, {name} list"
            with server.empty_database() as url:
                found = measure_runs(url, quotes, now, count)
            previews.append(found.preview)
            yield from run_figures(found, one_by_one)


@dataclass(frozen=True)
class SQLite:
    """Databases as files of a folder."""

    folder: Path

    @contextmanager
    def empty_database(self) -> Iterator[str]:
        """The URL of a file that isn't there."""
        yield sqlite_url(self.folder)


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
    parser.add_argument("--server", default=os.environ.get(VARIABLE), help="a PostgreSQL server")
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
