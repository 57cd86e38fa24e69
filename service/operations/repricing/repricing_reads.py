"""Re-pricings as they are read: how far a run is, what it comes to, and its items."""

from __future__ import annotations

import json
from collections.abc import Iterator
from decimal import Decimal

from msgspec import UNSET, UnsetType

from service.core.errors import QuoteRefusedError
from service.operations.repricing.kept_items import unpack_changes, unpack_items, unpack_under
from service.operations.repricing.repricing_answer import (
    LargestChange,
    NotLookedAt,
    RepricedItem,
    RepricingAnswer,
    RepricingCounts,
    RepricingSummary,
    change_answer,
    item_answer,
    under_answer,
)
from service.operations.repricing.repricing_items import money
from service.operations.repricing.repricing_summary import LARGEST_CHANGES, MOST_UNDER
from service.operations.saved.saved_quote_answer import instant
from service.storage import Connection, Store
from service.storage import repricing_chunks as chunks
from service.storage import repricing_leases as leases
from service.storage import repricings as runs
from service.storage.repricings import Run


class RepricingUnknownError(QuoteRefusedError):
    """There is no re-pricing with this id."""

    code = "unknown-repricing"

    def __init__(self, run_id: str) -> None:
        super().__init__(f"There is no re-pricing {run_id[:64]!r}.")


def read_repricing(connection: Connection, run_id: str, now: int) -> RepricingAnswer:
    """A run with its counts, the ten largest changes and the prices under the floor so far.

    `now` tells whether somebody still works on it. Raises RepricingUnknownError.
    """
    run = known_run(connection, run_id)
    changes = [
        change_answer(change)
        for kept in chunks.find_largest(connection, run_id)
        for change in unpack_changes(kept)
    ]
    changes.sort(key=lambda change: -abs(Decimal(change.change)))
    summary = _summary(connection, run, changes[:LARGEST_CHANGES])
    return _answer(run, chunks.find_counts(connection, run_id), summary, now)


def list_repricings(
    connection: Connection, now: int, *, limit: int, before: str | None = None
) -> tuple[RepricingAnswer, ...]:
    """Runs, the newest first, those before an id if given."""
    page = runs.list_runs(connection, limit=limit, before=before)
    return tuple(read_repricing(connection, run.asked.id, now) for run in page)


def _summary(connection: Connection, run: Run, changes: list[LargestChange]) -> RepricingSummary:
    counts, places = chunks.find_counts(connection, run.asked.id), run.asked.minor_places
    packed = chunks.find_under(connection, run.asked.id)
    under = sorted((each for part in packed for each in unpack_under(part)), key=lambda u: -u.lost)
    return RepricingSummary(
        old_total=money(counts.old_total, places),
        new_total=money(counts.new_total, places),
        change=money(counts.new_total - counts.old_total, places),
        largest_changes=tuple(changes),
        out_under_margin=tuple(
            under_answer(each, money(each.lost, places)) for each in under[:MOST_UNDER]
        ),
    )


def _answer(
    run: Run, counts: chunks.Counts, summary: RepricingSummary, now: int
) -> RepricingAnswer:
    asked = run.asked
    finished = run.finished_at
    return RepricingAnswer(
        id=asked.id,
        mode=asked.mode,
        status="waiting" if leases.is_left(run, now) else run.status,
        price_list=asked.price_list,
        revision=asked.price_list_revision,
        currency=asked.currency,
        include_issued=asked.include_issued,
        margin_floor=asked.margin_floor,
        counts=RepricingCounts(
            total=run.total,
            done=counts.done,
            changed=counts.changed,
            under_margin=counts.under_margin,
            failed=counts.failed,
            out_under_margin=counts.out_under_margin,
            newer_terms=counts.newer_terms,
        ),
        summary=summary,
        created_at=instant(run.created_at),
        items=f"/v1/repricings/{asked.id}/items",
        quotes=json.loads(asked.chosen_by),
        not_looked_at=_not_looked_at(run),
        preview=asked.preview_id or UNSET,
        finished_at=UNSET if finished is None else instant(finished),
        failure=run.failure or UNSET,
        held_until=instant(run.lease_until) if leases.is_held(run, now) else UNSET,
        hint=_hint(run),
    )


def _not_looked_at(run: Run) -> tuple[NotLookedAt, ...]:
    return tuple(
        NotLookedAt(quotes=quotes, price_list=price_list or UNSET)
        for price_list, quotes in json.loads(run.left_out)
    )


def _hint(run: Run) -> str | UnsetType:
    """What to ask for where nothing fitted."""
    if run.total:
        return UNSET
    states = " or ".join(json.loads(run.asked.chosen_by).get("states", ()))
    others = sum(each.quotes for each in _not_looked_at(run))
    out = "" if run.asked.include_issued else "quotes that are out with include_issued; "
    return (
        f"0 quotes: no {states} quote fits; {others} open ones were not looked at "
        f"(not_looked_at has their lists). Ask for {out}quotes of another list with "
        "quotes.price_list, or by ids and references."
    )


def read_items(
    connection: Connection, run_id: str, position: int
) -> tuple[list[RepricedItem], bool]:
    """Items from a position on to the end of its chunk, and whether the run may have more after
    them. Raises RepricingUnknownError."""
    run = known_run(connection, run_id)
    chunk, offset = divmod(position, run.asked.chunk_size)
    results = chunks.find_results(connection, run_id, chunk)
    if results is None:
        return [], chunk < run.chunks and run.status in runs.OPEN
    items = [item_answer(kept) for kept in unpack_items(results, offset)]
    return items, chunk + 1 < run.chunks


def each_item(store: Store, run_id: str) -> Iterator[RepricedItem]:
    """Every item that is there, in order, a chunk in memory at a time."""
    position, more = 0, True
    while more:
        with store.read() as connection:
            items, more = read_items(connection, run_id, position)
        yield from items
        position += len(items)
        if not items:
            return


def known_run(connection: Connection, run_id: str, *, lock: bool = False) -> Run:
    """A run by its id; with `lock` it is held. Raises RepricingUnknownError."""
    run = runs.find_run(connection, run_id, lock=lock)
    if run is None:
        raise RepricingUnknownError(run_id)
    return run
