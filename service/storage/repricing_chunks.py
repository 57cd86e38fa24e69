"""Chunks of a re-pricing run: what each reads, which are done, what came out.

A chunk is done when its row stands: it is written once, with everything that the chunk changed,
or not at all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, and_, func, insert, select

from service.storage.quote_tables import QUOTE_REVISION
from service.storage.repricing_tables import QUOTE_PRICING, REPRICING_CHUNK, REPRICING_QUOTE
from service.storage.repricings import Run, change_run, end_run


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """What the finished chunks of a run came to, amounts in minor units."""

    chunks: int = 0
    done: int = 0
    changed: int = 0
    under_margin: int = 0
    failed: int = 0
    old_total: int = 0
    new_total: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """One revision of a run; `packed` None: it was kept without what bulk re-pricing reads."""

    quote_id: str
    revision: int
    state: str
    digest: str
    reference: str | None
    price_list: str | None
    price_list_revision: int | None
    packed: bytes | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedChunk:
    """A chunk that is done: its counts, its largest changes, and its items line by line."""

    counts: Counts
    largest: bytes
    results: bytes


def find_counts(connection: Connection, run_id: str) -> Counts:
    """What the finished chunks come to."""
    held = REPRICING_CHUNK.c
    sums = [
        func.coalesce(func.sum(held[name]), 0)
        for name in ("done", "changed", "under_margin", "failed", "old_total", "new_total")
    ]
    row = connection.execute(select(func.count(), *sums).where(held.repricing_id == run_id)).one()
    chunks, done, changed, under_margin, failed, old_total, new_total = map(int, row)
    return Counts(
        chunks=chunks,
        done=done,
        changed=changed,
        under_margin=under_margin,
        failed=failed,
        old_total=old_total,
        new_total=new_total,
    )


def find_largest(connection: Connection, run_id: str) -> tuple[bytes, ...]:
    """The largest changes of each finished chunk, in their order."""
    held = REPRICING_CHUNK.c
    statement = select(held.largest).where(held.repricing_id == run_id).order_by(held.chunk)
    return tuple(bytes(row.largest) for row in connection.execute(statement))


def find_results(connection: Connection, run_id: str, chunk: int) -> bytes | None:
    """The items of a chunk as they were put, or None while it isn't done."""
    found = connection.execute(
        select(REPRICING_CHUNK.c.results).where(*_this_chunk(run_id, chunk))
    ).scalar_one_or_none()
    return None if found is None else bytes(found)


def first_unfinished(connection: Connection, run: Run, *, start: int = 0) -> int | None:
    """The first chunk from `start` on that isn't done, or None."""
    held = REPRICING_CHUNK.c
    rows = connection.execute(
        select(held.chunk)
        .where(held.repricing_id == run.asked.id, held.chunk >= start)
        .order_by(held.chunk)
    )
    expected = start
    for row in rows:
        if row.chunk != expected:
            break
        expected += 1
    return expected if expected < run.chunks else None


def done_chunks(connection: Connection, run_id: str) -> tuple[int, ...]:
    """The chunks that are done, in order."""
    held = REPRICING_CHUNK.c
    statement = select(held.chunk).where(held.repricing_id == run_id).order_by(held.chunk)
    return tuple(connection.execute(statement).scalars())


def find_chosen(connection: Connection, run: Run, chunk: int) -> tuple[Chosen, ...]:
    """The revisions of a chunk with what bulk re-pricing reads of them."""
    first = chunk * run.asked.chunk_size
    held = REPRICING_QUOTE.c
    joined = REPRICING_QUOTE.outerjoin(
        QUOTE_PRICING,
        and_(QUOTE_PRICING.c.quote_id == held.quote_id, QUOTE_PRICING.c.revision == held.revision),
    )
    statement = (
        select(REPRICING_QUOTE, QUOTE_PRICING.c.packed)
        .select_from(joined)
        .where(held.repricing_id == run.asked.id)
        .where(held.position >= first, held.position < first + run.asked.chunk_size)
        .order_by(held.position)
    )
    return tuple(
        Chosen(
            quote_id=row.quote_id,
            revision=row.revision,
            state=row.state,
            digest=row.digest,
            reference=row.reference,
            price_list=row.price_list,
            price_list_revision=row.price_list_revision,
            packed=None if row.packed is None else bytes(row.packed),
        )
        for row in connection.execute(statement)
    )


def find_pricing(connection: Connection, quote_id: str, revision: int) -> bytes | None:
    """The pricing of a revision as a whole, or None where it was kept without."""
    held = QUOTE_REVISION.c
    found = connection.execute(
        select(held.pricing).where(held.quote_id == quote_id, held.revision == revision)
    ).scalar_one_or_none()
    return None if found is None else bytes(found)


def is_done(connection: Connection, run_id: str, chunk: int) -> bool:
    """Whether a chunk is done."""
    found = connection.execute(
        select(REPRICING_CHUNK.c.chunk).where(*_this_chunk(run_id, chunk))
    ).scalar_one_or_none()
    return found is not None


def put_chunk(
    connection: Connection, run: Run, chunk: int, finished: FinishedChunk, now: int
) -> None:
    """Keep a chunk of a run that is locked; the last one ends the run."""
    counts = finished.counts
    connection.execute(
        insert(REPRICING_CHUNK).values(
            repricing_id=run.asked.id,
            chunk=chunk,
            done=counts.done,
            changed=counts.changed,
            under_margin=counts.under_margin,
            failed=counts.failed,
            old_total=counts.old_total,
            new_total=counts.new_total,
            largest=finished.largest,
            results=finished.results,
        )
    )
    if find_counts(connection, run.asked.id).chunks == run.chunks:
        end_run(connection, run.asked.id, "succeeded", now)
    elif run.status == "queued":
        change_run(connection, run.asked.id, status="running")


def _this_chunk(run_id: str, chunk: int) -> Sequence[Any]:
    return (REPRICING_CHUNK.c.repricing_id == run_id, REPRICING_CHUNK.c.chunk == chunk)
