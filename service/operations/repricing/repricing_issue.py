"""Issue the drafts that a re-pricing wrote, together: each with its own outcome."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from msgspec import UNSET, Struct, UnsetType
from pydantic import Field

from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError, QuoteRefusedError
from service.core.quote_state import Move
from service.fields import Id, IsoDate, LongText, ShortText, StrictModel
from service.operations.answer_figures import Day
from service.operations.repricing.kept_items import KeptItem, unpack_items
from service.operations.repricing.repricing_answer import ItemProblem
from service.operations.repricing.repricing_reads import known_run
from service.operations.saved.quote_events import moved_event
from service.operations.saved.quote_moves import Wanted, move_known
from service.operations.saved.saved_quote import known_quote, read_revision
from service.storage import Connection
from service.storage import repricing_chunks as chunks
from service.storage.events import record_all
from service.storage.quote_moves import MoveWords
from service.storage.repricings import Run

MOST_ISSUED = 1000


class IssueRequest(StrictModel):
    """The day on which the drafts of a run are issued, what is said of it, and which ones: all of
    them where no ids are given."""

    on: IsoDate
    ids: tuple[Id, ...] | None = Field(None, strict=False, min_length=1, max_length=MOST_ISSUED)
    note: LongText | None = None
    reason: ShortText | None = None


class IssuedDraft(Struct, frozen=True):
    """What became of one draft: issued, until when it holds, or why not."""

    id: str
    outcome: Literal["issued", "failed"]
    revision: int | UnsetType = UNSET
    reference: str | UnsetType = UNSET
    valid_until: Day | UnsetType = UNSET
    problem: ItemProblem | UnsetType = UNSET


class IssuedDrafts(Struct, frozen=True):
    """The drafts of a re-pricing, issued together. `repricing` is its id."""

    repricing: str
    on: Day
    issued: int
    failed: int
    items: tuple[IssuedDraft, ...]


class NothingWrittenError(QuoteRefusedError):
    """A re-pricing that has no drafts, or is still making them."""

    code = "repricing-not-written"

    def __init__(self, run: Run) -> None:
        super().__init__(
            f"The re-pricing {run.asked.id} is a {run.asked.mode}, {run.status}. Drafts are issued "
            "of a write that is over."
        )


def issue_drafts(
    connection: Connection, run_id: str, request: IssueRequest, now: int, catalog: Catalog
) -> IssuedDrafts:
    """Issue the drafts that a run wrote, and tell of each: one that goes out is a quote's own
    change, as it would be by itself. One that can't be issued keeps no other from it.

    Raises RepricingUnknownError, NothingWrittenError, and QuoteFaultsError for more drafts than
    are issued at once.
    """
    run = known_run(connection, run_id)
    if run.asked.mode != "write" or run.status in ("queued", "running"):
        raise NothingWrittenError(run)
    words = MoveWords(on=request.on, note=request.note, reason=request.reason)
    written = {str(item.quote): item for item in _written(connection, run)}
    ids = list(request.ids or written)
    _check_many(ids)
    items = tuple(
        _issue(connection, quote_id, written.get(quote_id), words, now, catalog)
        for quote_id in dict.fromkeys(ids)
    )
    _tell_issued(connection, items, now)
    issued = sum(item.outcome == "issued" for item in items)
    return IssuedDrafts(
        repricing=run_id,
        on=request.on.isoformat(),
        issued=issued,
        failed=len(items) - issued,
        items=items,
    )


def _tell_issued(connection: Connection, items: Sequence[IssuedDraft], now: int) -> None:
    """Tell of each draft that went out; last, as whoever tells of something waits for the end."""
    moves = {
        item.id: Move(number=item.revision, before="draft", after="issued")
        for item in items
        if item.revision is not UNSET and item.outcome == "issued"
    }
    if moves:
        events = [moved_event(quote_id, moved) for quote_id, moved in moves.items()]
        record_all(connection, events, now)


def _written(connection: Connection, run: Run) -> Iterator[KeptItem]:
    for chunk in chunks.done_chunks(connection, run.asked.id):
        results = chunks.find_results(connection, run.asked.id, chunk)
        for item in unpack_items(results or b""):
            if item.written is not UNSET:
                yield item


def _check_many(ids: Sequence[str]) -> None:
    if len(ids) > MOST_ISSUED:
        message = f"the run made {len(ids)} drafts, and at most {MOST_ISSUED} are issued at once"
        hint = f"name at most {MOST_ISSUED} in ids; the run's items with `written` have them"
        raise QuoteFaultsError([Fault(code="too-long", at=("ids",), message=message, hint=hint)])


def _issue(
    connection: Connection,
    quote_id: str,
    item: KeptItem | None,
    words: MoveWords,
    now: int,
    catalog: Catalog,
) -> IssuedDraft:
    if item is None or item.written is UNSET:
        return _failed(quote_id, None, "unknown-quote", 404, "the run made no draft of this quote")
    number = item.written.revision
    quote = known_quote(connection, quote_id, lock=True)
    if quote.draft is None or quote.draft.number != number:
        state = quote.revisions[number - 1].state
        message = f"revision {number} is {state} by now"
        return _failed(quote_id, item, "state-not-allowed", 409, message)
    try:
        move_known(connection, quote, Wanted(target="issued", words=words), now, catalog)
    except QuoteRefusedError as error:
        return _failed(quote_id, item, error.code, 409, str(error))
    facts = read_revision(connection, quote_id, str(number)).head.facts
    return IssuedDraft(
        id=quote_id,
        outcome="issued",
        revision=number,
        reference=item.reference,
        valid_until=facts.valid_until.isoformat() if facts.valid_until else UNSET,
    )


def _failed(
    quote_id: str, item: KeptItem | None, code: str, status: int, message: str
) -> IssuedDraft:
    return IssuedDraft(
        id=quote_id,
        outcome="failed",
        revision=UNSET if item is None or item.written is UNSET else item.written.revision,
        reference=UNSET if item is None else item.reference,
        problem=ItemProblem(code=code, status=status, messages=(message,)),
    )
