"""Re-pricing of saved quotes: start a run, do it chunk by chunk, read it, cancel it.

A run can be interrupted at any instant: what is done stands in its chunks, and whoever goes on
begins at the first one that is not there. Two that do the same chunk keep one result.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import suppress
from decimal import Decimal
from fractions import Fraction

from service.catalog import Catalog
from service.core.errors import QuoteRefusedError
from service.core.reprice.packed_columns import price_columns
from service.core.rounding import minor_units
from service.operations.repricing.kept_items import (
    KeptWritten,
    pack_changes,
    pack_items,
    pack_under,
)
from service.operations.repricing.large_write import write_large
from service.operations.repricing.repricing_answer import RepricingAnswer
from service.operations.repricing.repricing_events import tell_finished
from service.operations.repricing.repricing_items import (
    Outcome,
    Target,
    failed,
    item_of,
    missed,
    reprice_chosen,
    with_written,
)
from service.operations.repricing.repricing_reads import known_run, read_repricing
from service.operations.repricing.repricing_start import (
    PricesChangedError,
    check_prices,
    is_large,
)
from service.operations.repricing.repricing_summary import (
    counts_of,
    largest_changes,
    under_margin,
)
from service.operations.saved.priced_terms import terms_digest
from service.operations.saved.repriced_revision import reprice_revision
from service.operations.saved.waiting_answers import AnswerNotMadeError, make_answer
from service.storage import Connection, Store
from service.storage import repricing_chunks as chunks
from service.storage import repricings as runs
from service.storage.quote_rows import RevisionHead, SavedRevision
from service.storage.repricing_chunks import Chosen, FinishedChunk
from service.storage.repricing_prices import put_prices
from service.storage.repricings import Run
from service.storage.saved_quotes import SavedQuote, find_quote, find_revision, insert_revision
from service.storage.waiting_drafts import find_head


class RepricingFinishedError(QuoteRefusedError):
    """A re-pricing that is over can't be cancelled."""

    code = "repricing-finished"

    def __init__(self, run: Run) -> None:
        super().__init__(f"The re-pricing {run.asked.id} has {run.status} already.")


class RepricingDisagreesError(Exception):
    """The ordinary calculation found another total than the bulk one: nothing is written."""


class _StoppedError(Exception):
    """The run was cancelled, or somebody else did the chunk: what this one did is taken back."""


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
    is. A run whose prices are others by now has failed.

    Raises RepricingUnknownError, QuoteFaultsError where the price list is gone, StorageError.
    """
    with store.read() as connection:
        run = known_run(connection, run_id)
        if run.status not in runs.OPEN or chunks.is_done(connection, run_id, chunk):
            return
    try:
        _do_chunk(store, catalog, run, chunk)
    except _StoppedError:
        return
    except PricesChangedError as error:
        with store.write() as connection:
            fail_repricing(connection, run_id, str(error), store.now())


def _do_chunk(store: Store, catalog: Catalog, run: Run, chunk: int) -> None:
    writes = run.asked.mode == "write"
    with store.read() as connection:
        target = _target(connection, run, catalog)
        outcomes = [] if writes else _reprice(connection, run, chunk, target)
    with store.write() as connection:
        if writes:
            outcomes = _write(connection, run, chunk, target, store.now())
        _finish(connection, run, chunk, _finished(outcomes, target), store.now())


def _target(connection: Connection, run: Run, catalog: Catalog) -> Target:
    asked = run.asked
    prices = check_prices(connection, catalog, asked).prices
    floor = None if asked.margin_floor is None else Fraction(Decimal(asked.margin_floor))
    return Target(
        prices=prices,
        columns=price_columns(prices),
        floor=floor,
        catalog=catalog,
        terms={id_: terms_digest(entry.document) for id_, entry in catalog.terms.items()},
    )


def _reprice(connection: Connection, run: Run, chunk: int, target: Target) -> list[Outcome]:
    def read_pricing(quote_id: str, revision: int) -> bytes | None:
        return chunks.find_pricing(connection, quote_id, revision)

    chosen = chunks.find_chosen(connection, run, chunk)
    states = json.loads(run.asked.chosen_by).get("states", ("draft",))
    named = [missed(each, states) for each in chunks.find_missed(connection, run, chunk)]
    return [*reprice_chosen(chosen, target, read_pricing), *named]


def _write(connection: Connection, run: Run, chunk: int, target: Target, now: int) -> list[Outcome]:
    """Re-price a chunk and keep a new revision of each quote that is still what it was."""
    outcomes = _reprice(connection, run, chunk, target)
    left = [each for each in outcomes if each.repriced is not None and not _stays(each, target)]
    if is_large(run.total):
        put_prices(connection, target.prices)
        made = write_large(connection, left, target, now)
    else:
        made = [_write_one(connection, outcome, target, now) for outcome in left]
    written = dict(zip(map(id, left), made, strict=True))
    return [written.get(id(outcome), outcome) for outcome in outcomes]


def _stays(outcome: Outcome, target: Target) -> bool:
    """Whether a quote is left as it is: it stands on these very prices, or beside it a draft that
    somebody made by hand, which no re-pricing takes the place of."""
    chosen, prices = outcome.chosen, target.prices
    on_target = (chosen.price_list, chosen.price_list_revision) == (prices.id, prices.revision)
    return on_target or chosen.kept_draft is not None


def _write_one(connection: Connection, outcome: Outcome, target: Target, now: int) -> Outcome:
    chosen = outcome.chosen
    quote = find_quote(connection, chosen.quote_id or "", lock=True)
    _make_first(connection, quote, chosen, target)
    saved = _made_of(connection, chosen)
    if quote is None or saved is None or saved.pricing is None:
        return failed(chosen, "pricing-missing", 409, "this revision can't be re-priced any more")
    draft = None if quote.draft is None else find_head(connection, quote.id, quote.draft.number)
    if _has_moved(chosen, quote, draft):
        current = quote.current
        message = (
            f"the preview read revision {chosen.revision}, {chosen.state}; now the quote is at "
            f"revision {current.number}, {current.state}"
        )
        return failed(chosen, "changed-since-preview", 409, message)
    made = reprice_revision(saved, saved.pricing, target.prices, target.catalog)
    if (
        outcome.repriced
        and minor_units(made.facts.total, made.facts.minor_places) != outcome.repriced.new_total
    ):
        raise RepricingDisagreesError(chosen.quote_id)
    if draft is not None and draft.facts.digest == made.facts.digest:
        number = draft.revision
    else:
        number = insert_revision(connection, quote, made, now, supersedes=chosen.revision)
    return with_written(outcome, KeptWritten(revision=number, digest=made.facts.digest))


def _make_first(
    connection: Connection, quote: SavedQuote | None, chosen: Chosen, target: Target
) -> None:
    """Make the answers of what is re-priced and of the draft beside it, where they wait and can be
    made."""
    if quote is None:
        return
    drafts = [] if quote.draft is None else [quote.draft.number]
    for number in sorted({chosen.revision or 0, *drafts}):
        with suppress(AnswerNotMadeError):
            make_answer(connection, (quote.id, number), target.catalog)


def _made_of(connection: Connection, chosen: Chosen) -> SavedRevision | None:
    """What a draft is made of: the revision that is re-priced, or, where its answer can't be made,
    the one that this was to be made of."""
    place = chosen.quote_id or "", chosen.revision or 0
    head = find_head(connection, *place)
    if head is not None and head.made_from is not None:
        return find_revision(connection, place[0], head.made_from)
    return find_revision(connection, *place)


def _has_moved(chosen: Chosen, quote: SavedQuote, draft: RevisionHead | None) -> bool:
    """Whether a quote is not what the preview read: the draft itself; or the price that is out,
    and beside it no draft but one that a re-pricing made."""
    if chosen.state == "draft":
        return quote.draft is None or quote.draft.number != chosen.revision
    out = quote.out
    still_out = out is not None and (out.number, out.state) == (chosen.revision, "issued")
    by_hand = draft is not None and draft.facts.priced_by is None
    return not still_out or by_hand


def _finished(outcomes: list[Outcome], target: Target) -> FinishedChunk:
    return FinishedChunk(
        counts=counts_of(outcomes, target),
        largest=pack_changes(largest_changes(outcomes, target.prices.minor_places)),
        under=pack_under(under_margin(outcomes, target)),
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
    if chunks.put_chunk(connection, held, chunk, finished, now):
        tell_finished(connection, run.asked.id, now, by=run.asked.started_by)


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
        tell_finished(connection, run_id, now, by=None)
    elif run.status != "cancelled":
        raise RepricingFinishedError(run)
    return read_repricing(connection, run_id, now)


def fail_repricing(connection: Connection, run_id: str, why: str, now: int) -> None:
    """End a run that can't go on."""
    run = known_run(connection, run_id, lock=True)
    if run.status in runs.OPEN:
        runs.end_run(connection, run_id, "failed", now, why)
        tell_finished(connection, run_id, now, by=run.asked.started_by)
