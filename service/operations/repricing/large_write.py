"""The drafts of a large re-pricing, a chunk at once, each kept as what changes.

What a draft comes to is known from the columns that gave its preview. Its answer with the
arithmetic shown costs fifty times as much and waits (operations/saved/waiting_answers.py). Quotes
of a small run are written whole, one by one (repricing.py).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from service.core import ENGINE_VERSION
from service.core.reprice import packed_format as form
from service.core.reprice.packed_header import packed_again
from service.core.reprice.repriced import Repriced
from service.operations.repricing.kept_items import KeptWritten
from service.operations.repricing.repricing_items import Outcome, Target, failed, with_written
from service.storage import Connection
from service.storage.repricing_chunks import Chosen
from service.storage.waiting_drafts import HeldQuote, WaitingDraft, hold_quotes, insert_waiting


def write_large(
    connection: Connection, outcomes: Sequence[Outcome], target: Target, now: int
) -> list[Outcome]:
    """Keep a draft of each quote that has new amounts and is still what its preview read; what
    can't be is an outcome with its problem."""
    held = hold_quotes(connection, [_id(outcome.chosen) for outcome in outcomes])
    drafts: dict[str, WaitingDraft] = {}
    written = []
    for outcome in outcomes:
        quote = held.get(_id(outcome.chosen))
        if outcome.repriced is None or quote is None:
            written.append(outcome)
        elif has_moved(outcome.chosen, quote):
            written.append(_moved(outcome.chosen, quote))
        elif same := _stands(outcome, quote, target):
            written.append(with_written(outcome, KeptWritten(revision=same)))
        else:
            draft = drafts[quote.id] = _draft(outcome.chosen, outcome.repriced, quote, target)
            written.append(with_written(outcome, KeptWritten(revision=draft.number)))
    insert_waiting(connection, tuple(drafts.values()), now)
    return written


def _id(chosen: Chosen) -> str:
    return chosen.quote_id or ""


def has_moved(chosen: Chosen, quote: HeldQuote) -> bool:
    """Whether a quote is not what the preview read: the draft itself; or the price that is out,
    and beside it no draft but one that a re-pricing made."""
    drafts = [row for row in quote.revisions if row.state == "draft"]
    if chosen.state == "draft":
        return not drafts or drafts[-1].revision != chosen.revision
    by_hand = any(row.priced_by is None for row in drafts)
    issued = [row.revision for row in quote.revisions if row.state == "issued"]
    return by_hand or issued[-1:] != [chosen.revision]


def _moved(chosen: Chosen, quote: HeldQuote) -> Outcome:
    current = quote.current
    message = (
        f"the preview read revision {chosen.revision}, {chosen.state}; now the quote is at "
        f"revision {current.number}, {current.state}"
    )
    return failed(chosen, "changed-since-preview", 409, message)


def _stands(outcome: Outcome, quote: HeldQuote, target: Target) -> int | None:
    """The number of a draft beside the price that is out, where it is what would be written."""
    repriced = outcome.repriced
    if repriced is None or outcome.chosen.state != "issued":
        return None
    changed = _changed(repriced, target)
    for row in quote.revisions:
        same = all(getattr(row, name) == value for name, value in changed.items())
        if row.state == "draft" and row.supersedes == outcome.chosen.revision and same:
            return int(row.revision)
    return None


def _draft(chosen: Chosen, repriced: Repriced, quote: HeldQuote, target: Target) -> WaitingDraft:
    return WaitingDraft(
        quote=quote,
        made_from=chosen.revision or 0,
        changed=_changed(repriced, target),
        packed=packed_again(
            chosen.packed or b"", repriced.new, repriced.new_by_group, repriced.new_margin
        ),
    )


def _changed(repriced: Repriced, target: Target) -> Mapping[str, object]:
    """The columns in which a draft differs from what it is made of."""
    amounts = dict(zip(form.AMOUNTS, repriced.new, strict=True))
    return {
        "total_minor": amounts["total"],
        "subtotal_minor": amounts["subtotal"],
        "cost_minor": amounts["direct_cost"],
        "margin": repriced.new_margin,
        "price_list": target.prices.id,
        "price_list_revision": target.prices.revision,
        "priced_by": ENGINE_VERSION,
    }
