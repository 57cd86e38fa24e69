"""Re-pricing of saved quotes: start a run, do it chunk by chunk, read it, cancel it.

A run can be interrupted at any instant: what is done stands in its chunks, and whoever goes on
begins at the first one that is not there. Two that do the same chunk keep one result.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import assert_never

from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError, QuoteRefusedError
from service.core.reprice.packed_columns import price_columns
from service.core.rounding import minor_units
from service.operations.repricing.kept_items import KeptWritten, pack_changes, pack_items
from service.operations.repricing.repricing_answer import RepricingAnswer
from service.operations.repricing.repricing_items import (
    Outcome,
    Target,
    counts_of,
    failed,
    item_of,
    largest_changes,
    reprice_chosen,
    with_written,
)
from service.operations.repricing.repricing_prices import known_prices
from service.operations.repricing.repricing_reads import known_run, read_repricing
from service.operations.repricing.repricing_request import RepricingRequest
from service.operations.ruled import read_document
from service.operations.saved.repriced_revision import reprice_revision
from service.storage import Connection, Store
from service.storage import repricing_chunks as chunks
from service.storage import repricings as runs
from service.storage.repricing_chunks import FinishedChunk
from service.storage.repricings import NewRun, Run, RunsOn
from service.storage.saved_quotes import find_quote, find_revision, insert_revision

# In one transaction: a preview only reads, a write holds its quotes until the commit.
PREVIEW_CHUNK = 2000
WRITE_CHUNK = 200
QUEUE_CHUNK = 200
# More quotes than these are not waited for.
MOST_AT_ONCE = 200


class RepricingFinishedError(QuoteRefusedError):
    """A re-pricing that is over can't be cancelled."""

    code = "repricing-finished"

    def __init__(self, run: Run) -> None:
        super().__init__(f"The re-pricing {run.asked.id} has {run.status} already.")


class RepricingDisagreesError(Exception):
    """The ordinary calculation found another total than the bulk one: nothing is written."""


class _StoppedError(Exception):
    """The run was cancelled, or somebody else did the chunk: what this one did is taken back."""


def read_repricing_request(document: object, catalog: Catalog) -> RepricingRequest:
    """Read what a caller asks for. Raises QuoteFaultsError with every fault of one pass."""
    return read_document(RepricingRequest, document, catalog)


def start_repricing(
    connection: Connection,
    request: RepricingRequest,
    catalog: Catalog,
    now: int,
    *,
    runs_on: RunsOn = "service",
) -> Run:
    """Keep a run with the quotes it is about, as they are now.

    Raises QuoteFaultsError for a price list, a revision or a preview that isn't there, or a
    preview that has not succeeded.
    """
    run_id = f"r{now:012d}_{secrets.token_hex(8)}"
    match request.mode:
        case "write":
            preview = _preview_of(connection, request.preview or "").asked
            asked = replace(
                preview,
                id=run_id,
                mode="write",
                runs_on=runs_on,
                preview_id=preview.id,
                chunk_size=WRITE_CHUNK,
            )
            runs.insert_run(connection, asked, now)
            total = runs.choose_as_in(connection, run_id, preview.id)
        case "preview":
            asked = _asked(connection, request, catalog, run_id, runs_on)
            runs.insert_run(connection, asked, now)
            wanted = request.quotes.to_filter(asked.price_list, include_issued=asked.include_issued)
            total = runs.choose_quotes(connection, run_id, wanted)
        case _:
            assert_never(request.mode)
    if not total:
        runs.end_run(connection, run_id, "succeeded", now)
    return known_run(connection, run_id)


def _asked(
    connection: Connection,
    request: RepricingRequest,
    catalog: Catalog,
    run_id: str,
    runs_on: RunsOn,
) -> NewRun:
    number = None if request.revision == "latest" else int(request.revision)
    prices = known_prices(connection, catalog, request.price_list or "", number)
    chosen = request.quotes.model_dump(mode="json", exclude_none=True)
    floor = request.margin_floor
    return NewRun(
        id=run_id,
        mode="preview",
        runs_on=runs_on,
        price_list=prices.id or "",
        price_list_revision=prices.revision or 0,
        currency=prices.currency,
        minor_places=prices.minor_places,
        margin_floor=None if floor is None else f"{floor:f}",
        include_issued=request.include_issued,
        chosen_by=json.dumps(chosen, sort_keys=True),
        preview_id=None,
        chunk_size=QUEUE_CHUNK if runs_on == "queue" else PREVIEW_CHUNK,
    )


def _preview_of(connection: Connection, preview_id: str) -> Run:
    run = runs.find_run(connection, preview_id)
    message = None
    if run is None or run.asked.mode != "preview":
        message = f"there is no preview {preview_id!r}"
    elif run.status != "succeeded":
        message = f"the preview {preview_id!r} is {run.status}; only one that succeeded is written"
    if run is None or message is not None:
        fault = Fault(code="unknown-preview", at=("preview",), message=message or "")
        raise QuoteFaultsError([fault])
    return run


def work_off(
    store: Store, catalog: Catalog, run_id: str, after_chunk: Callable[[int], bool] | None = None
) -> None:
    """Do what is left of a run, chunk by chunk, until it is over or `after_chunk` says to stop.

    What is done stays done, whenever this ends. Raises what `reprice_chunk` raises.
    """
    chunk = 0
    while True:
        with store.read() as connection:
            run = known_run(connection, run_id)
            left = chunks.first_unfinished(connection, run, start=chunk)
        if left is None or run.status not in runs.OPEN:
            return
        reprice_chunk(store, catalog, run_id, left)
        chunk = left
        if after_chunk is not None and not after_chunk(left):
            return


def reprice_chunk(store: Store, catalog: Catalog, run_id: str, chunk: int) -> None:
    """Re-price one chunk of a run; a chunk that is done, or of a run that is over, is left as it
    is.

    Raises RepricingUnknownError, QuoteFaultsError where the price list is gone, StorageError.
    """
    with store.read() as connection:
        run = known_run(connection, run_id)
        if run.status not in runs.OPEN or chunks.is_done(connection, run_id, chunk):
            return
        target = _target(connection, run, catalog)
        writes = run.asked.mode == "write"
        outcomes = [] if writes else _reprice(connection, run, chunk, target)
    try:
        with store.write() as connection:
            if writes:
                outcomes = _write(connection, run, chunk, target, store.now())
            _finish(connection, run, chunk, _finished(outcomes, target), store.now())
    except _StoppedError:
        return


def _target(connection: Connection, run: Run, catalog: Catalog) -> Target:
    asked = run.asked
    prices = known_prices(connection, catalog, asked.price_list, asked.price_list_revision)
    floor = None if asked.margin_floor is None else Fraction(Decimal(asked.margin_floor))
    return Target(prices=prices, columns=price_columns(prices), floor=floor)


def _reprice(connection: Connection, run: Run, chunk: int, target: Target) -> list[Outcome]:
    def read_pricing(quote_id: str, revision: int) -> bytes | None:
        return chunks.find_pricing(connection, quote_id, revision)

    chosen = chunks.find_chosen(connection, run, chunk)
    return reprice_chosen(chosen, target, read_pricing)


def _write(connection: Connection, run: Run, chunk: int, target: Target, now: int) -> list[Outcome]:
    """Re-price a chunk and keep a new revision of each quote that is still what it was."""
    outcomes = _reprice(connection, run, chunk, target)
    return [
        outcome
        if outcome.repriced is None or _on_target(outcome, target)
        else _write_one(connection, outcome, target, now)
        for outcome in outcomes
    ]


def _on_target(outcome: Outcome, target: Target) -> bool:
    """A quote that stands on these very prices is left as it is."""
    chosen, prices = outcome.chosen, target.prices
    return (chosen.price_list, chosen.price_list_revision) == (prices.id, prices.revision)


def _write_one(connection: Connection, outcome: Outcome, target: Target, now: int) -> Outcome:
    chosen = outcome.chosen
    quote = find_quote(connection, chosen.quote_id, lock=True)
    saved = find_revision(connection, chosen.quote_id, chosen.revision)
    if quote is None or saved is None or saved.pricing is None:
        return failed(chosen, "pricing-missing", 409, "this revision can't be re-priced any more")
    current = quote.current
    if (current.number, current.state) != (chosen.revision, chosen.state):
        message = (
            f"the preview read revision {chosen.revision}, {chosen.state}; now the quote is at "
            f"revision {current.number}, {current.state}"
        )
        return failed(chosen, "changed-since-preview", 409, message)
    made = reprice_revision(saved, saved.pricing, target.prices)
    if (
        outcome.repriced
        and minor_units(made.facts.total, made.facts.minor_places) != outcome.repriced.new_total
    ):
        raise RepricingDisagreesError(chosen.quote_id)
    number = insert_revision(connection, quote, made, now)
    return with_written(outcome, KeptWritten(revision=number, digest=made.facts.digest))


def _finished(outcomes: list[Outcome], target: Target) -> FinishedChunk:
    return FinishedChunk(
        counts=counts_of(outcomes, target.floor),
        largest=pack_changes(largest_changes(outcomes, target.prices.minor_places)),
        results=pack_items(item_of(outcome, target) for outcome in outcomes),
    )


def _finish(
    connection: Connection, run: Run, chunk: int, finished: FinishedChunk, now: int
) -> None:
    """Keep a chunk, unless the run was cancelled or somebody was first: then nothing is kept."""
    held = runs.find_run(connection, run.asked.id, lock=True)
    if held is None or held.status not in runs.OPEN:
        raise _StoppedError
    if chunks.is_done(connection, run.asked.id, chunk):
        raise _StoppedError
    chunks.put_chunk(connection, held, chunk, finished, now)


def left_chunks(connection: Connection, run: Run) -> tuple[int, ...]:
    """The chunks of a run that aren't done."""
    done = frozenset(chunks.done_chunks(connection, run.asked.id))
    return tuple(chunk for chunk in range(run.chunks) if chunk not in done)


def cancel_repricing(connection: Connection, run_id: str, now: int) -> RepricingAnswer:
    """Stop a run; what it has written stays written. Once more changes nothing.

    Raises RepricingUnknownError, RepricingFinishedError.
    """
    run = known_run(connection, run_id, lock=True)
    if run.status in runs.OPEN:
        runs.end_run(connection, run_id, "cancelled", now)
    elif run.status != "cancelled":
        raise RepricingFinishedError(run)
    return read_repricing(connection, run_id)


def fail_repricing(connection: Connection, run_id: str, why: str, now: int) -> None:
    """End a run that can't go on."""
    run = known_run(connection, run_id, lock=True)
    if run.status in runs.OPEN:
        runs.end_run(connection, run_id, "failed", now, why)
