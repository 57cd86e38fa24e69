"""A re-pricing as it is asked for: what is read, which quotes it is about, on which prices."""

from __future__ import annotations

import json
import secrets
from dataclasses import replace
from typing import assert_never

from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError, QuoteRefusedError
from service.operations.prices.known_prices import KnownPrices, known_prices
from service.operations.repricing.repricing_events import tell_finished
from service.operations.repricing.repricing_reads import known_run
from service.operations.repricing.repricing_request import RepricingRequest
from service.operations.ruled import read_document
from service.storage import Connection
from service.storage import repricing_choice as choice
from service.storage import repricings as runs
from service.storage.events import acting
from service.storage.repricings import NewRun, Run, RunsOn

# More quotes than these are not waited for, and their drafts are kept as what changes.
MOST_AT_ONCE = 200
# In one transaction: a preview only reads, a write holds its quotes until the commit.
PREVIEW_CHUNK = 2000
WRITE_CHUNK = 200
# Of a large write: drafts are kept many at once.
LARGE_CHUNK = 1000
QUEUE_CHUNK = 200


def is_large(total: int) -> bool:
    """Whether a run of so many quotes is not waited for, and keeps its drafts as what changes."""
    return total > MOST_AT_ONCE


class PricesChangedError(QuoteRefusedError):
    """A price list says something else under the number that was previewed."""

    code = "changed-since-preview"

    def __init__(self, asked: NewRun) -> None:
        super().__init__(
            f"Revision {asked.price_list_revision} of the price list {asked.price_list} has other "
            "prices now than when this re-pricing began. Make a new preview."
        )


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
    preview that has not succeeded; PricesChangedError where a preview's prices are others now.
    """
    run_id = f"r{now:012d}_{secrets.token_hex(8)}"
    match request.mode:
        case "write":
            found = _preview_of(connection, request.preview or "")
            preview, preview_total = found.asked, found.total
            check_prices(connection, catalog, preview)
            asked = replace(
                preview,
                id=run_id,
                mode="write",
                runs_on=runs_on,
                started_by=acting(connection),
                preview_id=preview.id,
                chunk_size=LARGE_CHUNK if is_large(preview_total) else WRITE_CHUNK,
            )
            runs.insert_run(connection, asked, now)
            total = choice.choose_as_in(connection, run_id, preview.id)
        case "preview":
            asked = _asked(connection, request, catalog, run_id, runs_on)
            runs.insert_run(connection, asked, now)
            wanted = request.quotes.to_filter(asked.price_list)
            states = request.states
            total = choice.choose_quotes(connection, run_id, wanted, states)
        case _:
            assert_never(request.mode)
    runs.change_run(connection, run_id, left_out=choice.find_left_out(connection, run_id))
    if not total:
        runs.end_run(connection, run_id, "succeeded", now)
        tell_finished(connection, run_id, now, by=None)
    return known_run(connection, run_id)


def _asked(
    connection: Connection,
    request: RepricingRequest,
    catalog: Catalog,
    run_id: str,
    runs_on: RunsOn,
) -> NewRun:
    number = None if request.revision == "latest" else int(request.revision)
    known = known_prices(connection, catalog, request.price_list or "", number)
    prices = known.prices
    chosen = request.quotes.model_dump(mode="json", exclude_none=True)
    chosen["states"] = list(request.states)
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
        started_by=acting(connection),
        chunk_size=QUEUE_CHUNK if runs_on == "queue" else PREVIEW_CHUNK,
        prices_digest=known.digest,
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


def check_prices(connection: Connection, catalog: Catalog, asked: NewRun) -> KnownPrices:
    """The prices of a run. Raises PricesChangedError where they are not those it began with, and
    QuoteFaultsError where they are gone."""
    known = known_prices(connection, catalog, asked.price_list, asked.price_list_revision)
    if asked.prices_digest not in (None, known.digest):
        raise PricesChangedError(asked)
    return known
