"""Cut the power in the middle of saving, again and again, and judge what the drive still holds.

    python -m tests.faults.power_cut CUTS [SEED] [--control CONTROL]

A kill can't tell a synced write from one that is not: the system still has both. So what SQLite
does to its files is noted once, with the word to the caller, and then replayed up to random
moments. What was synced by then is there; of the rest, per file, nothing is, or a first part, or
any part, torn at sectors. After reopening all that was acknowledged must be there and nothing
half. The controls are a service that syncs less, and one that acknowledges before it commits.
"""

from __future__ import annotations

import argparse
import random
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from sqlalchemy import event, text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.pool import Pool

from service.storage import engine
from service.storage.backup import BackupFailedError, check_digests
from service.storage.engine import open_reading_engine
from tests.faults.file_layer import Step, noted_files
from tests.given.stores import Clock, sqlite_store
from tests.operations.saved.test_saved_quote_kills import save

SAVES = 60
SECTOR = 512
# So that the log is copied back several times in so few saves.
CHECKPOINT_PAGES = 100
FILE = "store.sqlite"
BESIDE = ("", "-wal", "-journal", "-shm")
CONTROLS = ("synchronous=NORMAL", "synchronous=OFF", "early")
# Where a save leaves a row, each under its reference or its key.
PARTS = (
    "SELECT reference FROM quote_reference JOIN quote ON quote.id = quote_id",
    "SELECT reference FROM quote_revision WHERE state = 'draft'",
    "SELECT reference FROM quote_revision JOIN quote_customer USING (quote_id)",
    "SELECT key FROM idempotency WHERE status = 201",
)
Files = dict[str, bytearray]


@dataclass(slots=True)
class Report:
    """What many cuts came to: cuts, and those after which something was lost, half, or damaged."""

    cuts: int = 0
    acknowledged: int = 0
    unacknowledged_whole: int = 0
    lost: int = 0
    torn: int = 0
    corrupt: int = 0


@dataclass(slots=True)
class Drive:
    """What is on a drive for good, and what has been written since and was not synced."""

    synced: Files
    waiting: dict[str, list[Step]] = field(default_factory=dict)

    def take(self, step: Step) -> None:
        """Do one step."""
        if step.kind == "sync":
            held = self.synced.setdefault(step.name, bytearray())
            for each in self.waiting.pop(step.name, []):
                apply(held, each)
        elif step.kind == "delete" and step.at:  # the folder is synced with it
            self.waiting.pop(step.name, None)
            self.synced.pop(step.name, None)
        else:
            self.waiting.setdefault(step.name, []).append(step)

    def cut(self, chance: random.Random) -> Files:
        """What is there after the power went."""
        left = {name: bytearray(held) for name, held in self.synced.items()}
        for name, steps in self.waiting.items():
            held = left.setdefault(name, bytearray())
            for step in kept_of(steps, chance):
                apply(held, step)
        return left


def apply(held: bytearray, step: Step) -> None:
    """Change a file's bytes as a step does."""
    if step.kind == "write":
        if len(held) < step.at:
            held.extend(bytes(step.at - len(held)))
        held[step.at : step.at + len(step.data)] = step.data
    else:
        del held[step.at :]  # cut off; a file that is deleted is left empty


def kept_of(steps: list[Step], chance: random.Random) -> list[Step]:
    """What reached the drive of steps that were not synced: none, a first part, or any part."""
    match chance.randrange(3):
        case 0:
            return []
        case 1:
            first = steps[: chance.randrange(len(steps) + 1)]
            return first + torn(steps[len(first) : len(first) + 1], chance)
        case _:
            return [each for step in steps for each in sectors(step) if chance.random() < 0.5]


def torn(steps: list[Step], chance: random.Random) -> list[Step]:
    """A write that stopped at any byte."""
    return [
        Step(step.kind, step.name, step.at, step.data[: chance.randrange(len(step.data))])
        for step in steps
        if step.data
    ]


def sectors(step: Step) -> list[Step]:
    """The parts in which a drive writes."""
    begins = range(0, len(step.data), SECTOR)
    parts = [Step(step.kind, step.name, step.at + at, step.data[at : at + SECTOR]) for at in begins]
    return parts or [step]


def work(folder: Path, control: str | None) -> tuple[Files, list[Step]]:
    """Save quotes one by one, and note what happens: the files at first, and all steps since."""
    with noted_files(folder) as layer, sqlite_store(folder, Clock()) as store, control_of(control):
        files = {FILE: bytearray((folder / FILE).read_bytes())}
        for number in range(SAVES):
            name = f"job-{number}"
            if control == "early":
                layer.told(name)
            save(store, name)
            if control != "early":
                layer.told(name)
    return files, layer.steps


@contextmanager
def control_of(control: str | None) -> Iterator[None]:
    """Break what keeps a save: each connection is set otherwise after the service has set it."""
    if control is None or control == "early":
        yield
        return

    def set_otherwise(connection: sqlite3.Connection, *_others: object) -> None:
        connection.execute(f"PRAGMA {control}")

    event.listen(Pool, "checkout", set_otherwise)
    try:
        yield
    finally:
        event.remove(Pool, "checkout", set_otherwise)


def replay(
    files: Files, steps: list[Step], cuts: int, chance: random.Random
) -> Iterator[tuple[Files, set[str]]]:
    """What is on the drive after a cut at so many random moments, and what was acknowledged."""
    drive, told = Drive(files), set[str]()
    moments = sorted(chance.randrange(len(steps) + 1) for _ in range(cuts))
    for at, step in enumerate([*steps, Step("told")]):
        while moments and moments[0] == at:
            moments.pop(0)
            yield drive.cut(chance), set(told)
        if step.kind == "told":
            told.add(step.data.decode("utf-8"))
        else:
            drive.take(step)


def judge(folder: Path, files: Files, told: set[str], report: Report) -> None:
    """Open what is left as after a start, and hold it against what the callers were told."""
    for name in (FILE + end for end in BESIDE):
        (folder / name).unlink(missing_ok=True)
    for name, held in files.items():
        (folder / name).write_bytes(held)
    report.cuts += 1
    report.acknowledged += len(told)
    try:
        found, halves = read_back(f"sqlite:///{folder / FILE}")
    except (DatabaseError, BackupFailedError):
        report.corrupt += 1
        return
    report.lost += not told <= found
    report.torn += bool(halves)
    report.unacknowledged_whole += bool(found - told)


def read_back(url: str) -> tuple[set[str], set[str]]:
    """The quotes that are there with all their rows, and those that lack some.

    Raises BackupFailedError for a file that is not sound, and for a document that is not what was
    stored.
    """
    reading = open_reading_engine(url)
    try:
        with reading.connect() as connection:
            rows = connection.exec_driver_sql("PRAGMA integrity_check").fetchall()
            if [tuple(row) for row in rows] != [("ok",)]:
                raise BackupFailedError(str(rows))
            check_digests(connection)
            parts = [set(connection.scalars(text(part))) for part in PARTS]
    finally:
        reading.dispose()
    whole = set.intersection(*parts)
    return whole, set.union(*parts) - whole


def run(cuts: int, seed: int, control: str | None = None) -> Report:
    """Cut the power so many times."""
    report, chance = Report(), random.Random(seed)  # noqa: S311  repeatable, no secret
    with tempfile.TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "CHECKPOINT_PAGES", CHECKPOINT_PAGES)
        files, steps = work(Path(folder), control)
        for left, told in replay(files, steps, cuts, chance):
            judge(Path(folder), left, told, report)
    return report


def main() -> int:
    """Run from the command line; 0 where nothing was lost, half or damaged."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("cuts", type=int)
    parser.add_argument("seed", type=int, nargs="?", default=20260504)
    parser.add_argument("--control", choices=CONTROLS)
    given = parser.parse_args()
    report = run(given.cuts, given.seed, given.control)
    sys.stdout.write(f"{report} seed={given.seed} SQLite {sqlite3.sqlite_version}\n")
    return int(bool(report.lost or report.torn or report.corrupt))


if __name__ == "__main__":
    sys.exit(main())
