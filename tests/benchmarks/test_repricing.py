"""Bounds on what bulk re-pricing costs, as ratios of things measured side by side in one run.

Run by name (`python .ci/tasks.py benchmarks`); the figures alone are printed by `python -m
tests.benchmarks.bulk`. The bounds are those of a machine that does nothing else, with room.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from collections.abc import Iterable
from pathlib import Path

import pytest

from service.catalog import Catalog
from service.core.reprice.bulk_price import reprice_columns
from service.core.reprice.packed_columns import price_columns, read_columns
from tests.benchmarks import bulk
from tests.benchmarks.bulk_figures import (
    CHUNK,
    best,
    measure_alone,
    measure_arithmetic,
    measure_one_by_one,
    measure_runs,
    saved,
    sqlite_url,
)
from tests.benchmarks.preview_process import run
from tests.benchmarks.season import Season, catalog_with, rows, season
from tests.benchmarks.spreadsheet import NotRecalculatedError, measure_spreadsheet
from tests.given.stores import Server

LARGEST = int(os.environ.get("BENCHMARK_QUOTES", "100000"))


@pytest.fixture(scope="module")
def plain() -> Season:
    """Quotes of 25 lines."""
    return season()


@pytest.fixture(scope="module")
def brought() -> Season:
    """The same on a list with delivery terms."""
    return season(freight=True)


def catalog_of(quotes: Season) -> Catalog:
    """A catalog whose price list `yard_2026` is the one that holds now."""
    return catalog_with(quotes.now)


def hold(figures: Iterable[bulk.Figure | str]) -> None:
    """Print figures; none misses its goal."""
    missed = []
    for each in figures:
        sys.stdout.write(f"\n{each}")
        if isinstance(each, bulk.Figure) and each.missed:
            missed.append(str(each))
    sys.stdout.write("\n")
    assert not missed


def test_arithmetic(plain: Season, brought: Season) -> None:
    """A chunk in memory is as fast as NumPy for these quotes alone, and many times faster than a
    loop over Decimals and the ordinary price, with freight and without; the same totals."""
    hold(bulk.arithmetic_figures(measure_arithmetic(plain, brought)))


@pytest.mark.parametrize("count", [10_000, 100_000])
def test_runs_end_to_end(plain: Season, tmp_path: Path, count: int) -> None:
    """Previews and writes are at least 25 times faster than the ordinary path and writes one by
    one; items and sums are the same."""
    now = catalog_of(plain)
    one_by_one = measure_one_by_one(sqlite_url(tmp_path), plain, now)
    hold(bulk.run_figures(measure_runs(sqlite_url(tmp_path), plain, now, count), one_by_one))


def test_runs_with_freight(brought: Season, tmp_path: Path) -> None:
    """So they are on a list with delivery terms."""
    now = catalog_of(brought)
    one_by_one = measure_one_by_one(sqlite_url(tmp_path), brought, now)
    hold(bulk.run_figures(measure_runs(sqlite_url(tmp_path), brought, now, 10_000), one_by_one))


@pytest.mark.parametrize("freight", [False, True])
def test_runs_on_postgresql(server: Server, *, freight: bool) -> None:
    """So they are on PostgreSQL, the server's own processes counted."""
    quotes = season(freight=freight)
    now = catalog_of(quotes)
    with server.empty_database() as url:
        one_by_one = measure_one_by_one(url, quotes, now)
    with server.empty_database() as url:
        hold(bulk.run_figures(measure_runs(url, quotes, now, 10_000), one_by_one))


def test_sql_in_the_database(plain: Season, tmp_path: Path) -> None:
    """10,000 quotes with a row a line, rolled up by SQLite itself (without spreading, tax, margins
    and groups): slower than unpacking and re-pricing columns, which do all of that."""
    count = 10_000
    packed = [plain.packed[n % len(plain.packed)] for n in range(CHUNK)]
    prices = price_columns(plain.now)
    ours = best(lambda: reprice_columns(read_columns(packed), prices), 20) / CHUNK
    connection = sqlite3.connect(tmp_path / "lines.sqlite")
    connection.execute("CREATE TABLE line (quote, item, amount, taxed)")
    connection.executemany("INSERT INTO line VALUES (?, ?, ?, ?)", rows(plain, count))
    connection.execute("CREATE TABLE price (item INTEGER PRIMARY KEY, cost)")
    costs = [int(price.unit_cost * 10**6) for price in plain.now.items.values()]
    connection.executemany("INSERT INTO price VALUES (?, ?)", list(enumerate(costs)))
    connection.execute("CREATE TABLE result (quote, total)")
    connection.commit()

    def in_sql() -> None:
        connection.execute("DELETE FROM result")
        connection.execute(_SQL)
        connection.commit()

    sql = best(in_sql, 3) / count
    connection.close()
    hold([bulk.Figure(name="SQL inside SQLite / columns", value=sql / ours, least=1)])


_SQL = """
INSERT INTO result
SELECT quote, whole + (2 * whole * 18 + 82) / 164 FROM (
  SELECT quote, base + (2 * base * 5 + 100) / 200 AS whole FROM (
    SELECT quote, direct + (2 * direct * 10 + 100) / 200 AS base FROM (
      SELECT quote, SUM((2 * amount * cost + 1000000) / 2000000) AS direct
      FROM line JOIN price USING (item) GROUP BY quote)))
"""


def test_memory_and_growth(plain: Season, tmp_path: Path) -> None:
    """Peak memory of a process that previews and writes ten times as many quotes is at most 1.25
    times as high; time grows in step with their number."""
    sizes = [size for size in (10_000, 100_000, 1_000_000) if size <= LARGEST]
    found = [measure_alone(tmp_path, plain, size, "write") for size in sizes]
    hold(bulk.growth_figures(found))


def test_spreadsheet_that_keeps_cells_is_no_figure(plain: Season, tmp_path: Path) -> None:
    """A program that saves a workbook without calculating it leaves cells of 0: that is said, and
    measured as nothing."""
    program = tmp_path / "soffice"
    program.write_text('#!/bin/sh\nfor last; do :; done\ncp "$last" "$7"\n', "utf-8")
    program.chmod(0o700)
    with pytest.raises(NotRecalculatedError, match="quote 0 holds 0"):
        measure_spreadsheet(str(program), tmp_path, plain, 20)


def test_spreadsheet(plain: Season, tmp_path: Path) -> None:
    """A workbook of 10,000 quotes, recalculated by a spreadsheet program without its window, from
    opening to saving and alone. Where none is installed, that is said."""
    store = saved(sqlite_url(tmp_path), plain, bulk.SHEET, whole=False)
    _, seconds = run(store, catalog_of(plain), price_list="yard_2026")
    store.close()
    packed = [plain.packed[n % len(plain.packed)] for n in range(CHUNK)]
    columns, prices = read_columns(packed), price_columns(plain.now)
    ours = best(lambda: reprice_columns(columns, prices)) / CHUNK
    hold(bulk.sheet_figures(tmp_path, plain, seconds / bulk.SHEET, ours))
