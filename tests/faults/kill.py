"""Kill a process in the middle of publishing or importing, again and again, and judge the rest.

    python -m tests.faults.kill URL publish|import CYCLES [SEED] [--early]

A child writes revision after revision, each under a key of its own, and says so on a pipe: before
it tries, and after it was told that it is done. It is killed at a random moment. Afterwards what
was acknowledged must be there once and whole; what was not is there whole or not at all; and the
same call with the same key must end with exactly one; each revision that is there is told by one
event, and no other is. `--early` is the control: a child that
acknowledges before it writes must be found out.
"""

import argparse
import json
import os
import random
import signal
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from service.catalog import Catalog, load_catalog
from service.operations.conditions import Conditions, content_digest, etag_of
from service.operations.idempotent import StoredOutcome
from service.operations.prices.column_mapping import read_mapping
from service.operations.prices.import_merge import PriceFile
from service.operations.prices.price_imports import preview_import, write_import
from service.operations.prices.price_lists import publish
from service.storage import Store, price_lists
from service.storage.events import EventType, find_kept, list_events
from service.storage.idempotency import KeyedCall
from tests.given.price_files import csv_file

LIST = "yard"
PUBLISHED: EventType = "price_list.revision_published"
ROWS = 40
LONGEST_S = 0.15
FIRST = {"currency": "USD", "effective_from": "2026-01-01", "items": {}}


@dataclass(slots=True)
class Report:
    """What many kills came to."""

    cycles: int = 0
    acknowledged: int = 0
    unacknowledged_whole: int = 0
    lost: int = 0
    doubled: int = 0
    torn: int = 0
    faults: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Try:
    """One call: its key, and the state it changes."""

    key: str
    etag: str


def items_of(key: str, kind: str) -> list[str]:
    """The items that a call with this key brings."""
    return [f"item_{key}_{row}" for row in range(ROWS if kind == "import" else 1)]


def call(store: Store, catalog: Catalog, kind: str, made: Try) -> StoredOutcome:
    """Publish or import what belongs to a key."""
    keyed = KeyedCall(caller="", method="POST", path=kind, key=made.key, fingerprint=made.key)
    conditions = Conditions(if_match=(made.etag,))
    items = items_of(made.key, kind)
    if kind == "publish":
        prices = {item: {"unit_cost": "1.00", "per": "each"} for item in items}
        body = {"changes": [{"set": prices}], "effective_from": "2026-02-01"}
        return publish(store, catalog, LIST, body, conditions, keyed)
    file = PriceFile(
        data=csv_file("item,unit_cost,per", *(f"{item},1.00,each" for item in items)),
        kind="csv",
        mapping=read_mapping({"unknown_items": "add"}, catalog),
        effective_from=date(2026, 2, 1),
        largest_change=Decimal("0.25"),
    )
    shown = preview_import(store, catalog, LIST, file).preview or ""
    return write_import(store, catalog, LIST, file, shown, conditions, keyed)


def write_for_ever(
    url: str, catalog: Catalog, kind: str, cycle: int, pipe: int, early: bool
) -> None:
    """What the child does: write, and say so."""
    store = Store.open(url)
    number = 0
    while True:
        with store.read() as connection:
            latest = price_lists.find_latest(connection, LIST)
        assert latest is not None
        made = Try(f"{cycle}_{number}", etag_of(latest.content_digest))
        os.write(pipe, f"try {made.key} {made.etag}\n".encode())
        if early:
            os.write(pipe, f"done {made.key} {latest.number + 1}\n".encode())
        stored = call(store, catalog, kind, made)
        if not early:
            revision = json.loads(stored.outcome.body)["revision"]
            os.write(pipe, f"done {made.key} {revision}\n".encode())
        number += 1


def kill_once(
    url: str, catalog: Catalog, kind: str, cycle: int, chance: random.Random, *, early: bool
) -> list[list[str]]:
    """One child, killed at a random moment; what it said."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        write_for_ever(url, catalog, kind, cycle, writing, early=early)
    os.close(writing)
    said = b""
    with os.fdopen(reading, "rb", buffering=0) as stream:
        said += stream.read(1) or b""  # it has begun
        # Every other one has written something first, however slow the machine is.
        while cycle % 2 and b"done" not in said and (part := stream.read(65536)):
            said += part
        time.sleep(chance.uniform(0, LONGEST_S))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        while part := stream.read(65536):
            said += part
    lines = said.decode().splitlines(keepends=True)
    return [line.split() for line in lines if line.endswith("\n")]


@contextmanager
def opened(url: str) -> Iterator[Store]:
    """A store for a look; no connection may be open when a child is made."""
    store = Store.open(url)
    try:
        yield store
    finally:
        store.close()


def read_revisions(store: Store, report: Report) -> dict[int, set[str]]:
    """Items of every revision, after a look at each digest."""
    found: dict[int, set[str]] = {}
    with store.read() as connection:
        for number in price_lists.list_numbers(connection, LIST):
            stored = price_lists.read_content(connection, LIST, number)
            if content_digest(stored.content) != stored.content_digest:
                report.torn += 1
            found[number] = set(json.loads(stored.content)["items"])
        last = find_kept(connection).last
        told = list_events(connection, after=0, until=last, types=(PUBLISHED,), limit=last + 1)
    if [json.loads(event.data)["revision"] for event in told] != list(found):
        report.faults.append(f"{len(found)} revisions, told by {len(told)} events")
    if list(found) != list(range(1, len(found) + 1)):
        report.faults.append(f"numbers have gaps: {list(found)}")
    return found


def judge(url: str, catalog: Catalog, kind: str, said: list[list[str]], report: Report) -> None:
    """Hold what is there against what the child was told, then do the last call once more."""
    done = {words[1]: int(words[2]) for words in said if words[0] == "done"}
    tried = [Try(words[1], words[2]) for words in said if words[0] == "try"]
    with opened(url) as store:
        revisions = read_revisions(store, report)
        brought = new_items(revisions)
        report.acknowledged += len(done)
        for key, number in done.items():
            items = set(items_of(key, kind))
            report.lost += not items <= revisions.get(number, set())
        for made in tried:
            needed = items_of(made.key, kind)
            there = sum(brought[item] for item in needed)
            report.torn += 0 < there < len(needed)
            report.doubled += there > len(needed)
            report.unacknowledged_whole += made.key not in done and there == len(needed)
        if tried and tried[-1].key not in done:
            status = call(store, catalog, kind, tried[-1]).outcome.status
            again = new_items(read_revisions(store, report))
            once = all(again[item] == 1 for item in items_of(tried[-1].key, kind))
            if status != 201 or not once:
                report.faults.append(f"{tried[-1].key} once more: {status}, {once}")


def new_items(revisions: dict[int, set[str]]) -> Counter[str]:
    """In how many revisions each item is new."""
    found: Counter[str] = Counter()
    for number, items in revisions.items():
        found.update(items - revisions.get(number - 1, set()))
    return found


def run(url: str, kind: str, cycles: int, seed: int, *, early: bool = False) -> Report:
    """Kill so many children."""
    report, catalog = Report(), load_catalog(())
    chance = random.Random(seed)  # noqa: S311  repeatable, no secret
    with opened(url) as store:
        store.migrate()
        publish(store, catalog, LIST, FIRST, Conditions(if_none=True), None)
    for cycle in range(cycles):
        said = kill_once(url, catalog, kind, cycle, chance, early=early)
        judge(url, catalog, kind, said, report)
        report.cycles += 1
    return report


def main() -> int:
    """Run from the command line; 0 where nothing was lost, doubled or torn."""
    parser = argparse.ArgumentParser(description=__doc__, add_help=True)
    parser.add_argument("url")
    parser.add_argument("kind", choices=("publish", "import"))
    parser.add_argument("cycles", type=int)
    parser.add_argument("seed", type=int, nargs="?", default=20260504)
    parser.add_argument("--early", action="store_true")
    given = parser.parse_args()
    report = run(given.url, given.kind, given.cycles, given.seed, early=given.early)
    sys.stdout.write(f"{report} seed={given.seed}\n")
    return int(bool(report.lost or report.doubled or report.torn or report.faults))


if __name__ == "__main__":
    sys.exit(main())
