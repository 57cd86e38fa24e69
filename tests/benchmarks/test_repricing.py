"""What bulk re-pricing costs, as ratios of things measured side by side in one run.

Run by name (`python .ci/tasks.py benchmarks`); BENCHMARK_QUOTES=1000000 adds a million
quotes with compact columns. Each test prints its figures; the bounds are those of a machine that
does nothing else, with room.
"""

from __future__ import annotations

import json
import math
import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import Any

import msgspec
import pytest
import xlsxwriter
from sqlalchemy import select

from service.catalog import Catalog
from service.catalog.registry import catalog_of
from service.core.job.price_list import PriceList
from service.core.reprice.bulk_price import reprice_columns
from service.core.reprice.packed_columns import price_columns, read_columns
from service.core.reprice.pricing_inputs import price_inputs
from service.operations.repricing.repricing import work_off
from service.operations.repricing.repricing_items import Target, item_of, reprice_chosen
from service.operations.repricing.repricing_reads import each_item, read_repricing
from service.operations.repricing.repricing_start import read_repricing_request, start_repricing
from service.storage import Store
from service.storage.quote_tables import QUOTE_REVISION
from service.storage.repricing_chunks import find_chosen, find_pricing
from service.storage.repricings import find_run
from tests.benchmarks.season import (
    PACKED_BYTES,
    Season,
    catalog_with,
    document_of,
    fill,
    plain_decimal,
    plain_numpy,
    rows,
    season,
)

CHUNK = 2000
ROUNDS = 7
ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "openapi" / "examples" / "quote_walls"
LARGEST = int(os.environ.get("BENCHMARK_QUOTES", "100000"))


@pytest.fixture(scope="module")
def quotes() -> Season:
    """Quotes of 25 lines."""
    return season()


@pytest.fixture(scope="module")
def now(quotes: Season) -> Catalog:
    """A catalog whose price list `yard_2026` is the one that holds now."""
    return catalog_with(quotes.now)


def best(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Seconds of the process for one run, the best of some."""
    found = math.inf
    for _ in range(rounds):
        start = time.process_time()
        work()
        found = min(found, time.process_time() - start)
    return found


def say(words: str) -> None:
    """A figure for whoever runs it."""
    sys.stdout.write(f"\n{words}\n")


def test_arithmetic(quotes: Season) -> None:
    """A chunk in memory: at most 1.5 times a plain NumPy roll-up with line spreading, at least 15
    times faster than a plain Decimal loop; the same totals."""
    packed = [quotes.packed[n % len(quotes.packed)] for n in range(CHUNK)]
    columns, prices = read_columns(packed), price_columns(quotes.now)
    bulk = reprice_columns(columns, prices)
    assert not bulk.ordinary.any()
    plain = plain_numpy(columns, prices)
    assert (bulk.amounts[:, 8] == plain).all()
    decimals = [plain_decimal(each, quotes.now) for each in quotes.inputs]
    assert [int(total * 100) for total in decimals] == plain[: len(decimals)].tolist()
    ours = best(lambda: reprice_columns(columns, prices), 30)
    numpy_loop = best(lambda: plain_numpy(columns, prices), 30)
    reading = best(lambda: read_columns(packed), 30)
    decimal = best(lambda: [plain_decimal(each, quotes.now) for each in quotes.inputs])
    ordinary = best(lambda: [price_inputs(each, quotes.now) for each in quotes.inputs], 3)
    per = 1e6 / CHUNK
    decimal, ordinary = decimal / len(quotes.inputs), ordinary / len(quotes.inputs)
    say(
        f"arithmetic per quote of 25 lines: ours {ours * per:.2f} us (unpacking {reading * per:.2f}"
        f"), plain NumPy {numpy_loop * per:.2f}, Decimal {decimal * 1e6:.1f}, "
        f"ordinary price {ordinary * 1e6:.0f}; ours / NumPy {ours / numpy_loop:.2f}, "
        f"Decimal / ours {decimal * CHUNK / ours:.0f}, ordinary / ours "
        f"{ordinary * CHUNK / ours:.0f}; {PACKED_BYTES} bytes a quote"
    )
    assert ours / numpy_loop <= 1.5
    assert decimal * CHUNK / ours >= 15


def saved(folder: Path, quotes: Season, count: int, *, whole: bool = True) -> Store:
    """A store with so many quotes."""
    store = Store.open(f"sqlite:///{folder / f'quotes_{count}.sqlite'}")
    store.migrate()
    fill(store, quotes, count, document=document_of(EXAMPLES), whole=whole)
    return store


def preview(store: Store, catalog: Catalog, **asked: object) -> str:
    """A run from its start to its end: a preview of everything unless told otherwise."""
    request = read_repricing_request(asked or {"price_list": "yard_2026"}, catalog)
    with store.write() as connection:
        run = start_repricing(connection, request, catalog, store.now())
    work_off(store, catalog, run.asked.id)
    return run.asked.id


@pytest.mark.parametrize("count", [10_000, 100_000])
def test_preview_end_to_end(quotes: Season, now: Catalog, tmp_path: Path, count: int) -> None:
    """Choose, read, compute, keep the items: at least 25 times faster than the ordinary path
    quote by quote, and the same items."""
    store = saved(tmp_path, quotes, count)
    began = time.process_time()
    run_id = preview(store, now)
    ours = (time.process_time() - began) / count
    with store.read() as connection:
        assert read_repricing(connection, run_id, store.now()).counts.changed == count
    sample = 300
    began = time.process_time()
    items = ordinary_items(store, quotes.now, run_id, sample)
    ordinary = (time.process_time() - began) / sample
    lines = first_lines(store, run_id, sample)
    assert items == lines
    say(
        f"preview of {count}: {ours * 1e6:.0f} us a quote, ordinary path {ordinary * 1e6:.0f}, "
        f"ratio {ordinary / ours:.1f}"
    )
    store.close()
    assert ordinary / ours >= 25


def first_lines(store: Store, run_id: str, count: int) -> list[Any]:
    """The first items of a run."""
    return [
        json.loads(msgspec.json.encode(item)) for item in islice(each_item(store, run_id), count)
    ]


def ordinary_items(store: Store, prices: PriceList, run_id: str, count: int) -> list[Any]:
    """Quote by quote: read the saved answer and the inputs, price, say what changed, keep it."""
    target = Target(
        prices=prices, columns=price_columns(prices), floor=None, terms={}, catalog=catalog_of(())
    )
    found = []
    with store.read() as connection:
        run = find_run(connection, run_id)
        assert run is not None
        chosen = find_chosen(connection, run, 0)[:count]
    for each in chosen:
        with store.read() as connection:
            held = find_pricing(connection, each.quote_id or "", each.revision or 0)
            revision = QUOTE_REVISION.c
            answer = connection.scalars(
                select(revision.answer).where(revision.quote_id == each.quote_id)
            ).one()
        msgspec.json.decode(answer)
        alone = replace(each, packed=irregular(held or b""))
        (outcome,) = reprice_chosen([alone], target, lambda *_of, held=held: held)
        found.append(json.loads(msgspec.json.encode(item_of(outcome, target))))
    return found


def irregular(pricing: bytes) -> bytes:
    """The same, marked so that it goes the ordinary way."""
    return pricing[:1] + b"\x01" + pricing[2:]


def test_sql_in_the_database(quotes: Season, now: Catalog, tmp_path: Path) -> None:
    """10,000 quotes with a row a line, rolled up by SQLite itself (without spreading, tax, margins
    and groups): slower than unpacking and re-pricing columns, which do all of that."""
    count = 10_000
    store = saved(tmp_path, quotes, count)
    whole = best(lambda: preview(store, now), 3) / count
    store.close()
    packed = [quotes.packed[n % len(quotes.packed)] for n in range(CHUNK)]
    prices = price_columns(quotes.now)
    ours = best(lambda: reprice_columns(read_columns(packed), prices), 20) / CHUNK
    connection = sqlite3.connect(tmp_path / "lines.sqlite")
    connection.execute("CREATE TABLE line (quote, item, amount, taxed)")
    connection.executemany("INSERT INTO line VALUES (?, ?, ?, ?)", rows(quotes, count))
    connection.execute("CREATE TABLE price (item INTEGER PRIMARY KEY, cost)")
    costs = [int(price.unit_cost * 10**6) for price in quotes.now.items.values()]
    connection.executemany("INSERT INTO price VALUES (?, ?)", list(enumerate(costs)))
    connection.execute("CREATE TABLE result (quote, total)")
    connection.commit()

    def in_sql() -> None:
        connection.execute("DELETE FROM result")
        connection.execute(_SQL)
        connection.commit()

    sql = best(in_sql, 3) / count
    connection.close()
    say(
        f"SQL inside SQLite, {count}: {sql * 1e6:.1f} us a quote, ours {ours * 1e6:.1f}, "
        f"ratio {sql / ours:.1f}; a whole preview with its items {whole * 1e6:.0f}"
    )
    assert sql > ours


_SQL = """
INSERT INTO result
SELECT quote, whole + (2 * whole * 18 + 82) / 164 FROM (
  SELECT quote, base + (2 * base * 5 + 100) / 200 AS whole FROM (
    SELECT quote, direct + (2 * direct * 10 + 100) / 200 AS base FROM (
      SELECT quote, SUM((2 * amount * cost + 1000000) / 2000000) AS direct
      FROM line JOIN price USING (item) GROUP BY quote)))
"""


def test_write_end_to_end(quotes: Season, now: Catalog, tmp_path: Path) -> None:
    """New drafts, many at once and as what changes, at least 25 times as fast as whole ones, one
    by one and a quote a commit; the answers of the many are made after."""
    found = {}
    for size, count in ((1_000, 10_000), (1, 200)):
        store = saved(tmp_path, quotes, count)
        preview_id = preview(store, now)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("service.operations.repricing.repricing_start.WRITE_CHUNK", size)
            began = time.process_time()
            run_id = preview(store, now, mode="write", preview=preview_id)
            found[size] = (time.process_time() - began) / count
        with store.read() as connection:
            assert read_repricing(connection, run_id, store.now()).counts.failed == 0
        store.close()
    say(
        f"write: {found[1_000] * 1e6:.0f} us a quote as what changes, {found[1] * 1e6:.0f} whole "
        f"and one by one, ratio {found[1] / found[1_000]:.1f}"
    )
    assert found[1] / found[1_000] >= 25


def test_memory_and_growth(quotes: Season, tmp_path: Path) -> None:
    """Peak memory of a process that previews ten times as many quotes is at most 1.25 times as
    high; time grows in step with their number (exponent at most 1.02)."""
    sizes = [size for size in (1_000, 10_000, 100_000, 1_000_000) if size <= LARGEST]
    found: dict[int, tuple[float, float]] = {}
    for size in sizes:
        store = Store.open(f"sqlite:///{tmp_path / f'compact_{size}.sqlite'}")
        store.migrate()
        fill(store, quotes, size, document=b"{}", whole=False)
        store.close()
        command = [sys.executable, "-m", "tests.benchmarks.preview_process", store.url]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, check=True)
        seconds, peak = map(float, done.stdout.split())
        found[size] = (seconds, peak)
        (tmp_path / f"compact_{size}.sqlite").unlink()
        say(f"{size} quotes: {seconds:.2f} s, peak {peak / 1024:.0f} MiB")
    large, larger = sizes[-2], sizes[-1]
    memory = found[larger][1] / found[large][1]
    times = [(math.log(size), math.log(found[size][0])) for size in sizes[1:]]
    exponent = (times[-1][1] - times[0][1]) / (times[-1][0] - times[0][0])
    say(f"peak memory {larger} / {large}: {memory:.2f}; growth exponent {exponent:.3f}")
    assert memory <= 1.25
    assert exponent <= 1.02


def test_spreadsheet(quotes: Season, now: Catalog, tmp_path: Path) -> None:
    """A workbook of 10,000 quotes, recalculated by a spreadsheet program without its window:
    at least 8 times slower than the preview. Where none is installed, that is said."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        say("no spreadsheet program (soffice) is installed: nothing to compare with")
        return
    count = 10_000
    store = saved(tmp_path, quotes, count)
    began = time.perf_counter()
    preview(store, now)
    ours = time.perf_counter() - began
    store.close()
    book = tmp_path / "quotes.xlsx"
    write_workbook(book, quotes, count)
    command = [program, "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML"]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [*command, "--outdir", str(tmp_path / "out"), str(book)], check=True, capture_output=True
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    theirs = after.ru_utime - before.ru_utime
    say(f"spreadsheet, {count}: {theirs:.1f} s, our preview {ours:.1f}, ratio {theirs / ours:.1f}")
    assert theirs / ours >= 8


def write_workbook(path: Path, quotes: Season, count: int) -> None:
    """Prices on one sheet, a row a quote on another: 25 looked-up, rounded products and the
    roll-up as formulas without values."""
    book = xlsxwriter.Workbook(str(path), {"constant_memory": True})
    prices = book.add_worksheet("prices")
    for at, (name, price) in enumerate(quotes.now.items.items()):
        prices.write_row(at, 0, (name, float(price.unit_cost)))
    sheet = book.add_worksheet("quotes")
    last = len(quotes.now.items)
    by_quote: dict[int, list[tuple[int, int]]] = {}
    for quote, item, amount, _ in rows(quotes, count):
        by_quote.setdefault(quote, []).append((item, amount))
    names = list(quotes.now.items)
    for quote, lines in by_quote.items():
        costs = "+".join(
            f'ROUND({amount / 100}*VLOOKUP("{names[item]}",prices!$A$1:$B${last},2,FALSE),2)'
            for item, amount in lines
        )
        row = quote + 1
        sheet.write_formula(quote, 0, f"={costs}")
        sheet.write_formula(quote, 1, f"=A{row}+ROUND(A{row}*0.1,2)")
        sheet.write_formula(quote, 2, f"=B{row}+ROUND(B{row}*0.05,2)")
        sheet.write_formula(quote, 3, f"=C{row}+ROUND(C{row}*0.18/0.82,2)")
    book.close()
