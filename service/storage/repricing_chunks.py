"""Chunks of a re-pricing run: what each reads, which are done, what came out.

A chunk is done when its row stands: it is written once, with everything that the chunk changed,
or not at all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any

from sqlalchemy import Connection, and_, func, insert, select

from service.core.reprice.packed_header import packed_size
from service.storage.packed_pricing import find_packed
from service.storage.quote_tables import QUOTE_REVISION
from service.storage.repricing_choice import find_misses
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
    out_under_margin: int = 0
    newer_terms: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """One revision of a run; `packed` None: it was kept without what bulk re-pricing reads.
    `kept_draft` is a draft beside it that was made by hand. What was named and can't be re-priced
    has no packed pricing either, and what isn't known of it is None."""

    quote_id: str | None
    reference: str | None
    revision: int | None
    state: str | None
    digest: str | None
    title: str | None = None
    price_list: str | None = None
    price_list_revision: int | None = None
    terms: str | None = None
    terms_digest: str | None = None
    kept_draft: int | None = None
    packed: bytes | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedChunk:
    """A chunk that is done: its counts, its largest changes, the prices that are out and under
    the floor, and its items line by line."""

    counts: Counts
    largest: bytes
    under: bytes
    results: bytes


_SUMMED = tuple(field.name for field in fields(Counts) if field.name != "chunks")


def find_counts(connection: Connection, run_id: str) -> Counts:
    """What the finished chunks come to."""
    held = REPRICING_CHUNK.c
    sums = [func.coalesce(func.sum(held[name]), 0) for name in _SUMMED]
    row = connection.execute(select(func.count(), *sums).where(held.repricing_id == run_id)).one()
    chunks, *rest = map(int, row)
    return Counts(chunks=chunks, **dict(zip(_SUMMED, rest, strict=True)))


def find_largest(connection: Connection, run_id: str) -> tuple[bytes, ...]:
    """The largest changes of each finished chunk, in their order."""
    return tuple(each for each in _parts(connection, run_id, "largest") if each is not None)


def find_under(connection: Connection, run_id: str) -> tuple[bytes, ...]:
    """The prices that are out and under the floor of each finished chunk, in their order; chunks
    of an earlier version have none."""
    return tuple(each for each in _parts(connection, run_id, "under") if each is not None)


def _parts(connection: Connection, run_id: str, name: str) -> Iterator[bytes | None]:
    held = REPRICING_CHUNK.c
    statement = select(held[name]).where(held.repricing_id == run_id).order_by(held.chunk)
    for part in connection.execute(statement).scalars():
        yield None if part is None else bytes(part)


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


_CHOSEN = tuple(field.name for field in fields(Chosen) if field.name != "packed")
_MISSED = ("quote_id", "reference", "revision", "state", "digest")


def find_chosen(connection: Connection, run: Run, chunk: int) -> tuple[Chosen, ...]:
    """The revisions of a chunk with what bulk re-pricing reads of them."""
    first = chunk * run.asked.chunk_size
    held = REPRICING_QUOTE.c
    joined = REPRICING_QUOTE.outerjoin(
        QUOTE_PRICING,
        and_(QUOTE_PRICING.c.quote_id == held.quote_id, QUOTE_PRICING.c.revision == held.revision),
    )
    statement = (
        select(*(held[name] for name in _CHOSEN), QUOTE_PRICING.c.packed)
        .select_from(joined)
        .where(held.repricing_id == run.asked.id)
        .where(held.position >= first, held.position < first + run.asked.chunk_size)
        .order_by(held.position)
    )
    return tuple(Chosen(**row) for row in connection.execute(statement).mappings().all())


def find_missed(connection: Connection, run: Run, chunk: int) -> tuple[Chosen, ...]:
    """What is named in the places of a chunk and can't be re-priced."""
    first = chunk * run.asked.chunk_size
    missed = find_misses(connection, run.asked.id, first, first + run.asked.chunk_size)
    return tuple(Chosen(**{name: each[name] for name in _MISSED}) for each in missed)


def find_pricing(connection: Connection, quote_id: str, revision: int) -> bytes | None:
    """The pricing of a revision as a whole, or None where it was kept without. That of a draft
    whose answer waits is its own packed integers and the inputs of what it is made of."""
    held = QUOTE_REVISION.c
    row = connection.execute(
        select(held.pricing, held.made_from).where(
            held.quote_id == quote_id, held.revision == revision
        )
    ).one_or_none()
    if row is not None and row.made_from is not None:
        before = find_pricing(connection, quote_id, row.made_from)
        packed = find_packed(connection, quote_id, revision)
        return None if before is None else packed + before[packed_size(before) :]
    return None if row is None or row.pricing is None else bytes(row.pricing)


def is_done(connection: Connection, run_id: str, chunk: int) -> bool:
    """Whether a chunk is done."""
    found = connection.execute(
        select(REPRICING_CHUNK.c.chunk).where(*_this_chunk(run_id, chunk))
    ).scalar_one_or_none()
    return found is not None


def put_chunk(
    connection: Connection, run: Run, chunk: int, finished: FinishedChunk, now: int
) -> bool:
    """Keep a chunk of a run that is locked; whether it was the last one, which ends the run."""
    counts = finished.counts
    connection.execute(
        insert(REPRICING_CHUNK).values(
            repricing_id=run.asked.id,
            chunk=chunk,
            **{name: getattr(counts, name) for name in _SUMMED},
            largest=finished.largest,
            under=finished.under,
            results=finished.results,
        )
    )
    is_last = find_counts(connection, run.asked.id).chunks == run.chunks
    if is_last:
        end_run(connection, run.asked.id, "succeeded", now)
    elif run.status == "queued":
        change_run(connection, run.asked.id, status="running")
    return is_last


def _this_chunk(run_id: str, chunk: int) -> Sequence[Any]:
    return (REPRICING_CHUNK.c.repricing_id == run_id, REPRICING_CHUNK.c.chunk == chunk)
