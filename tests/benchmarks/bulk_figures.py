"""What bulk re-pricing costs: each figure beside what else it could be done by, in one run.

CPU seconds of the process; amounts are held against each other wherever two ways meet.
"""

from __future__ import annotations

import json
import math
import secrets
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Any

import msgspec
import pytest
from sqlalchemy import select

from service.catalog import Catalog
from service.catalog.registry import catalog_of
from service.core.job.price_list import PriceList
from service.core.reprice.bulk_price import QUOTES_AT_ONCE, reprice_columns
from service.core.reprice.packed_columns import price_columns, read_columns
from service.core.reprice.pricing_inputs import price_inputs
from service.operations.repricing.repricing_answer import RepricingAnswer, item_answer
from service.operations.repricing.repricing_items import Target, item_of, reprice_chosen
from service.operations.repricing.repricing_reads import each_item, read_repricing
from service.storage import Store
from service.storage.quote_tables import QUOTE_REVISION
from service.storage.repricing_chunks import find_chosen, find_pricing
from service.storage.repricings import find_run
from tests.benchmarks.preview_process import run, spent
from tests.benchmarks.season import Season, document_of, fill, plain_decimal, plain_numpy

CHUNK, CHUNKS = QUOTES_AT_ONCE, 10
ONE_BY_ONE = 200
SAMPLE = 300
ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "openapi" / "examples" / "quote_walls"


def best(work: Callable[[], object], rounds: int = 7) -> float:
    """Seconds of the process for one run, the best of some."""
    return best_of_each(work, rounds=rounds)[0]


def best_of_each(*works: Callable[[], object], rounds: int = 7) -> list[float]:
    """The same of several, in turns, so that what else the machine does weighs on all alike."""
    found = [math.inf] * len(works)
    for _ in range(rounds):
        for at, work in enumerate(works):
            start = time.process_time()
            work()
            found[at] = min(found[at], time.process_time() - start)
    return found


@dataclass(frozen=True, kw_only=True)
class Arithmetic:
    """CPU seconds of a quote of 25 lines in memory, by each way; `freight` on a list with delivery
    terms."""

    ours: float
    reading: float
    numpy: float
    decimal: float
    ordinary: float
    freight: float
    freight_ordinary: float


def measure_arithmetic(plain: Season, brought: Season) -> Arithmetic:
    """Some chunks in columns, one after another as a run has them, against NumPy for these quotes
    alone, a loop over Decimals, and the ordinary price; the totals are the same."""
    many = len(plain.inputs)
    packed = [
        [plain.packed[(chunk * CHUNK + n) % many] for n in range(CHUNK)] for chunk in range(CHUNKS)
    ]
    chunks, prices = [read_columns(each) for each in packed], price_columns(plain.now)
    totals = [plain_numpy(columns, prices) for columns in chunks]
    for columns, expected in zip(chunks, totals, strict=True):
        bulk = reprice_columns(columns, prices)
        assert not bulk.ordinary.any()
        assert (bulk.amounts[:, 8] == expected).all()
    decimals = [plain_decimal(each, plain.now) for each in plain.inputs]
    assert [int(total * 100) for total in decimals] == totals[0][:many].tolist()
    ours, reading, numpy, decimal, ordinary = best_of_each(
        lambda: [reprice_columns(columns, prices) for columns in chunks],
        lambda: [read_columns(each) for each in packed],
        lambda: [plain_numpy(columns, prices) for columns in chunks],
        lambda: [plain_decimal(each, plain.now) for each in plain.inputs],
        lambda: [price_inputs(each, plain.now) for each in plain.inputs],
    )
    freight, freight_ordinary = _freight(brought)
    return Arithmetic(
        ours=ours / CHUNK / CHUNKS,
        reading=reading / CHUNK / CHUNKS,
        numpy=numpy / CHUNK / CHUNKS,
        decimal=decimal / many,
        ordinary=ordinary / many,
        freight=freight,
        freight_ordinary=freight_ordinary,
    )


def _freight(brought: Season) -> tuple[float, float]:
    """Seconds of a quote on a list with delivery terms, in columns and by the ordinary price."""
    packed = [brought.packed[n % len(brought.packed)] for n in range(CHUNK)]
    columns, prices = read_columns(packed), price_columns(brought.now)
    bulk = reprice_columns(columns, prices)
    assert not bulk.ordinary.any()
    expected = [int(price_inputs(each, brought.now).total * 100) for each in brought.inputs]
    assert bulk.amounts[: len(expected), 8].tolist() == expected
    ours, ordinary = best_of_each(
        lambda: reprice_columns(columns, prices),
        lambda: [price_inputs(each, brought.now) for each in brought.inputs],
    )
    return ours / CHUNK, ordinary / len(expected)


def sqlite_url(folder: Path) -> str:
    """Where a database of its own may be."""
    return f"sqlite:///{folder / f'{secrets.token_hex(4)}.sqlite'}"


def saved(url: str, quotes: Season, count: int, *, whole: bool = True) -> Store:
    """A store with so many quotes; `whole` ones have answers and pricing inputs of their own."""
    store = Store.open(url)
    store.migrate()
    fill(store, quotes, count, document=document_of(EXAMPLES) if whole else b"{}", whole=whole)
    return store


def drop(store: Store) -> None:
    """Close a store and remove the files of one of SQLite."""
    store.close()
    file = Path(store.url.removeprefix("sqlite:///"))
    for each in file.parent.glob(f"{file.name}*"):
        each.unlink()


def read_run(store: Store, run_id: str) -> RepricingAnswer:
    """A run that is over."""
    with store.read() as connection:
        return read_repricing(connection, run_id, store.now())


@dataclass(frozen=True, kw_only=True)
class EndToEnd:
    """CPU seconds of a quote: previewed, written as what changes, and previewed one by one."""

    preview: float
    write: float
    ordinary: float


def measure_runs(url: str, quotes: Season, now: Catalog, count: int) -> EndToEnd:
    """Choose, read, compute, keep the items, then write the drafts; against the ordinary path quote
    by quote. The items are the same, and what is written is what was previewed."""
    store = saved(url, quotes, count)
    preview, seconds = run(store, now, price_list="yard_2026")
    first = read_run(store, preview)
    assert first.counts.changed == count
    began = spent(store)
    items = ordinary_items(store, quotes.now, preview, SAMPLE)
    ordinary = (spent(store) - began) / SAMPLE
    assert items == first_items(store, preview, SAMPLE)
    written, writing = run(store, now, mode="write", preview=preview)
    second = read_run(store, written)
    assert (second.counts.changed, second.counts.failed) == (count, 0)
    assert second.summary.new_total == first.summary.new_total
    drop(store)
    return EndToEnd(preview=seconds / count, write=writing / count, ordinary=ordinary)


def measure_one_by_one(url: str, quotes: Season, now: Catalog) -> float:
    """CPU seconds of a quote that is written whole, and each in a transaction of its own."""
    store = saved(url, quotes, ONE_BY_ONE)
    preview, _ = run(store, now, price_list="yard_2026")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("service.operations.repricing.repricing_start.WRITE_CHUNK", 1)
        written, seconds = run(store, now, mode="write", preview=preview)
    assert read_run(store, written).counts.failed == 0
    drop(store)
    return seconds / ONE_BY_ONE


def first_items(store: Store, run_id: str, count: int) -> list[Any]:
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
        held_run = find_run(connection, run_id)
        assert held_run is not None
        chosen = find_chosen(connection, held_run, 0)[:count]
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
        found.append(json.loads(msgspec.json.encode(item_answer(item_of(outcome, target)))))
    return found


def irregular(pricing: bytes) -> bytes:
    """The same, marked so that it goes the ordinary way."""
    return pricing[:1] + b"\x01" + pricing[2:]


@dataclass(frozen=True, kw_only=True)
class Alone:
    """One process over so many quotes: CPU seconds of the preview and the write, peak in KiB, and
    what all of them cost, which a loop over Decimals finds as well."""

    count: int
    preview: float
    write: float
    peak: float
    total: Decimal


def measure_alone(folder: Path, quotes: Season, count: int, mode: str) -> Alone:
    """A process of its own over compact quotes; what is previewed and written adds up to what a
    loop over Decimals finds."""
    store = saved(sqlite_url(folder), quotes, count, whole=False)
    command = [
        sys.executable,
        "-m",
        "tests.benchmarks.preview_process",
        store.url,
        str(count),
        mode,
    ]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, check=True)
    drop(store)
    *figures, previewed, written = done.stdout.decode("ascii").split()
    total = sum_of(quotes, count)
    assert (Decimal(previewed), Decimal(written)) == (total, total)
    preview, write, peak = map(float, figures)
    return Alone(count=count, preview=preview, write=write, peak=peak, total=total)


def sum_of(quotes: Season, count: int) -> Decimal:
    """What so many quotes cost now, each by a loop over Decimals."""
    totals = [plain_decimal(each, quotes.now) for each in quotes.inputs]
    again, rest = divmod(count, len(totals))
    return again * sum(totals, Decimal(0)) + sum(totals[:rest], Decimal(0))


def exponent(found: Sequence[Alone], name: str) -> float:
    """How CPU grows with the number of quotes, from the first to the last: 1 is in step."""
    one, other = found[0], found[-1]
    seconds = getattr(other, name) / getattr(one, name)
    return math.log(seconds) / math.log(other.count / one.count)
