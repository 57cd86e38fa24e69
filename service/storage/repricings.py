"""Re-pricing runs: which revisions they read, which chunks are done, what came out.

A run is a row; its quotes are chosen with it, in the same transaction. A chunk is done when its
row stands: it is written once, with everything that the chunk changed, or not at all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, Row, and_, func, insert, literal, or_, select, update

from service.storage.quote_lists import QuoteFilter, filter_conditions
from service.storage.quote_tables import QUOTE, QUOTE_REVISION
from service.storage.repricing_tables import (
    QUOTE_PRICING,
    REPRICING,
    REPRICING_CHUNK,
    REPRICING_QUOTE,
)

Mode = Literal["preview", "write"]
Status = Literal["queued", "running", "succeeded", "failed", "cancelled"]
RunsOn = Literal["service", "queue"]
OPEN: tuple[Status, ...] = ("queued", "running")


@dataclass(frozen=True, slots=True, kw_only=True)
class NewRun:
    """A run as it is asked for. `chosen_by` is the filter as JSON, `margin_floor` a ratio as
    text; a write names its preview."""

    id: str
    mode: Mode
    runs_on: RunsOn
    price_list: str
    price_list_revision: int
    currency: str
    minor_places: int
    margin_floor: str | None
    include_issued: bool
    chosen_by: str
    preview_id: str | None
    chunk_size: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A run as it is kept. Moments in seconds, UTC."""

    asked: NewRun
    status: Status
    total: int
    created_at: int
    finished_at: int | None
    owner: str | None
    failure: str | None

    @property
    def chunks(self) -> int:
        """How many chunks it has."""
        return -(-self.total // self.asked.chunk_size)


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


def insert_run(connection: Connection, asked: NewRun, now: int) -> None:
    """Keep a new run, without quotes so far."""
    connection.execute(
        insert(REPRICING).values(
            id=asked.id,
            mode=asked.mode,
            status="queued",
            runs_on=asked.runs_on,
            price_list=asked.price_list,
            price_list_revision=asked.price_list_revision,
            currency=asked.currency,
            minor_places=asked.minor_places,
            margin_floor=asked.margin_floor,
            include_issued=asked.include_issued,
            chosen_by=asked.chosen_by,
            preview_id=asked.preview_id,
            total=0,
            chunk_size=asked.chunk_size,
            created_at=now,
            lease_until=0,
        )
    )


def choose_quotes(connection: Connection, run_id: str, wanted: QuoteFilter) -> int:
    """Choose the current revisions that fit, the oldest quote first; returns how many."""
    place = func.row_number().over(order_by=QUOTE.c.number) - 1
    held = QUOTE_REVISION.c
    chosen = (
        select(
            literal(run_id),
            place,
            QUOTE.c.id,
            held.revision,
            QUOTE.c.state,
            held.digest,
            held.reference,
            held.price_list,
            held.price_list_revision,
        )
        .select_from(
            QUOTE.join(
                QUOTE_REVISION,
                and_(held.quote_id == QUOTE.c.id, held.revision == QUOTE.c.current_revision),
            )
        )
        .where(*filter_conditions(wanted))
    )
    return _choose(connection, run_id, chosen)


def choose_as_in(connection: Connection, run_id: str, preview_id: str) -> int:
    """Choose what another run has chosen; returns how many."""
    names = [column.name for column in REPRICING_QUOTE.c if column.name != "repricing_id"]
    chosen = select(literal(run_id), *(REPRICING_QUOTE.c[name] for name in names)).where(
        REPRICING_QUOTE.c.repricing_id == preview_id
    )
    return _choose(connection, run_id, chosen)


def _choose(connection: Connection, run_id: str, chosen: Any) -> int:  # noqa: ANN401
    names = [column.name for column in REPRICING_QUOTE.c]
    connection.execute(insert(REPRICING_QUOTE).from_select(names, chosen))
    counted = select(func.count()).where(REPRICING_QUOTE.c.repricing_id == run_id)
    total = connection.execute(counted).scalar_one()
    connection.execute(update(REPRICING).where(REPRICING.c.id == run_id).values(total=total))
    return total


def find_run(connection: Connection, run_id: str, *, lock: bool = False) -> Run | None:
    """A run, or None; with `lock` nobody else can change it in the meantime."""
    statement = select(REPRICING).where(REPRICING.c.id == run_id)
    row = connection.execute(statement.with_for_update() if lock else statement).one_or_none()
    return None if row is None else _run(row)


def list_runs(connection: Connection, *, limit: int, before: str | None = None) -> tuple[Run, ...]:
    """At most `limit` runs, the newest first, those before an id if given: ids sort by time."""
    statement = select(REPRICING).order_by(REPRICING.c.id.desc()).limit(limit)
    if before is not None:
        statement = statement.where(REPRICING.c.id < before)
    return tuple(_run(row) for row in connection.execute(statement))


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
        _change(connection, run.asked.id, status="running")


def end_run(
    connection: Connection, run_id: str, status: Status, now: int, failure: str | None = None
) -> None:
    """End a run that is locked."""
    _change(connection, run_id, status=status, finished_at=now, owner=None, failure=failure)


def lease_run(connection: Connection, owner: str, now: int, seconds: int) -> Run | None:
    """Take the oldest run that is to be done by a service and that nobody works on; or None."""
    held = REPRICING.c
    statement = (
        select(REPRICING)
        .where(held.status.in_(OPEN), held.runs_on == "service")
        .where(or_(held.owner.is_(None), held.owner == owner, held.lease_until <= now))
        .order_by(held.id)
        .limit(1)
        .with_for_update(skip_locked=True)
    )
    row = connection.execute(statement).one_or_none()
    if row is None:
        return None
    take_run(connection, row.id, owner, now + seconds)
    return _run(row)


def take_run(connection: Connection, run_id: str, owner: str, until: int) -> None:
    """Say who works on a run, and until when nobody else should."""
    _change(connection, run_id, owner=owner, lease_until=until)


def renew_lease(connection: Connection, run_id: str, owner: str, until: int) -> bool:
    """Hold a run for longer; False where somebody else holds it by now, or it is over."""
    held = REPRICING.c
    statement = (
        update(REPRICING)
        .where(held.id == run_id, held.owner == owner, held.status.in_(OPEN))
        .values(lease_until=until)
    )
    return connection.execute(statement).rowcount == 1


def has_open_runs(connection: Connection) -> bool:
    """Whether any run is left for a service to do."""
    held = REPRICING.c
    statement = select(held.id).where(held.status.in_(OPEN), held.runs_on == "service").limit(1)
    return connection.execute(statement).one_or_none() is not None


def _change(connection: Connection, run_id: str, **values: object) -> None:
    connection.execute(update(REPRICING).where(REPRICING.c.id == run_id).values(**values))


def _this_chunk(run_id: str, chunk: int) -> Sequence[Any]:
    return (REPRICING_CHUNK.c.repricing_id == run_id, REPRICING_CHUNK.c.chunk == chunk)


def _run(row: Row[Any]) -> Run:
    return Run(
        asked=NewRun(
            id=row.id,
            mode=row.mode,
            runs_on=row.runs_on,
            price_list=row.price_list,
            price_list_revision=row.price_list_revision,
            currency=row.currency,
            minor_places=row.minor_places,
            margin_floor=row.margin_floor,
            include_issued=row.include_issued,
            chosen_by=row.chosen_by,
            preview_id=row.preview_id,
            chunk_size=row.chunk_size,
        ),
        status=row.status,
        total=row.total,
        created_at=row.created_at,
        finished_at=row.finished_at,
        owner=row.owner,
        failure=row.failure,
    )
