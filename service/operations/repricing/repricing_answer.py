"""Re-pricings as they are answered: the run, and one item a quote."""

from __future__ import annotations

from typing import Any, Literal

from msgspec import UNSET, Struct, UnsetType

from service.operations.answer_figures import Instant, Money, Ratio
from service.operations.repricing.kept_items import (
    KeptChange,
    KeptGroup,
    KeptItem,
    KeptProblem,
    KeptUnder,
    KeptWritten,
)

Status = Literal["queued", "running", "waiting", "succeeded", "failed", "cancelled"]


class GroupCostChange(Struct, frozen=True):
    """What the lines of one group cost before and after."""

    group: str
    old_cost: Money
    new_cost: Money
    change: str


class ItemProblem(Struct, frozen=True):
    """Why a quote could not be re-priced; `status` is what a call for it alone would get."""

    code: str
    status: int
    messages: tuple[str, ...]


class WrittenRevision(Struct, frozen=True):
    """The revision that a write made of a quote, and its digest; a write of more than 200 quotes
    makes answers, and so digests, after its drafts."""

    revision: int
    digest: str | UnsetType = UNSET


class RepricedItem(Struct, frozen=True):
    """One saved quote of a re-pricing: the revision that was read, what new prices mean for it.

    `margin_at_old_price` is the share of the old subtotal that is left over the new cost,
    `price_to_hold_margin` the subtotal that leaves the old margin, `total_to_hold_margin` that with
    its tax; null where there is none. `lost` is the new cost less the old one. `kept_draft` is a
    draft made by hand, beside which nothing is written; `newer_terms` names terms that say
    something else today than when the quote was priced, by which it stays. A quote that was named
    and isn't there has only the name.
    """

    outcome: Literal["changed", "unchanged", "failed"]
    id: str | UnsetType = UNSET
    revision: int | UnsetType = UNSET
    digest: str | UnsetType = UNSET
    state: str | UnsetType = UNSET
    reference: str | UnsetType = UNSET
    title: str | UnsetType = UNSET
    old_total: Money | UnsetType = UNSET
    new_total: Money | UnsetType = UNSET
    change: str | UnsetType = UNSET
    old_subtotal: Money | UnsetType = UNSET
    new_subtotal: Money | UnsetType = UNSET
    by_group: tuple[GroupCostChange, ...] | UnsetType = UNSET
    old_margin: str | UnsetType | None = UNSET
    new_margin: str | UnsetType | None = UNSET
    margin_at_old_price: str | UnsetType | None = UNSET
    price_to_hold_margin: Money | UnsetType | None = UNSET
    total_to_hold_margin: Money | UnsetType | None = UNSET
    lost: str | UnsetType = UNSET
    under_margin: bool | UnsetType = UNSET
    kept_overrides: tuple[str, ...] | UnsetType = UNSET
    kept_draft: int | UnsetType = UNSET
    newer_terms: str | UnsetType = UNSET
    written: WrittenRevision | UnsetType = UNSET
    problem: ItemProblem | UnsetType = UNSET


class LargestChange(Struct, frozen=True):
    """A quote among those whose total changes most."""

    id: str
    revision: int
    old_total: Money
    new_total: Money
    change: str
    reference: str | UnsetType = UNSET


class UnderMargin(Struct, frozen=True):
    """A price that is out and leaves less than the floor over the new cost; what `lost` and the
    others are, an item says."""

    id: str
    revision: int
    reference: str | UnsetType
    title: str | UnsetType
    old_total: Money
    old_subtotal: Money
    old_margin: str | UnsetType | None
    margin_at_old_price: str
    price_to_hold_margin: Money | UnsetType | None
    total_to_hold_margin: Money | UnsetType | None
    lost: str


class NotLookedAt(Struct, frozen=True):
    """Open quotes, drafts and such as are out, that a re-pricing doesn't look at, by the price list
    of their current revision; without one, prices stood in the request."""

    quotes: int
    price_list: str | UnsetType = UNSET


class RepricingCounts(Struct, frozen=True):
    """How many quotes: chosen, looked at, with other amounts, under the floor, failed. Those that
    failed are among the done. `out_under_margin`: whose price is out, among those under the floor;
    `newer_terms`: whose terms say something else today."""

    total: int
    done: int
    changed: int
    under_margin: int
    failed: int
    out_under_margin: int
    newer_terms: int


class RepricingSummary(Struct, frozen=True):
    """All quotes that could be re-priced, together; the largest changes first. `out_under_margin`
    are the prices that are out and under the floor, at most a hundred, the one that loses most
    first; counts say how many there are."""

    old_total: Money
    new_total: Money
    change: str
    largest_changes: tuple[LargestChange, ...]
    out_under_margin: tuple[UnderMargin, ...]


class RepricingAnswer(Struct, frozen=True):
    """A re-pricing: what was asked, how far it is, and what it comes to so far. `quotes` is which
    quotes were asked for; `hint` says what to ask instead where that was none. `waiting`: whoever
    worked on it has given no sign of life for a while, as after a kill; another goes on with it,
    not before `held_until`. Without a kill that time moves on as the work does."""

    id: str
    mode: Literal["preview", "write"]
    status: Status
    price_list: str
    revision: int
    currency: str
    include_issued: bool
    margin_floor: Ratio | None
    counts: RepricingCounts
    summary: RepricingSummary
    created_at: Instant
    items: str
    quotes: dict[str, Any]
    not_looked_at: tuple[NotLookedAt, ...]
    preview: str | UnsetType = UNSET
    finished_at: Instant | UnsetType = UNSET
    failure: str | UnsetType = UNSET
    held_until: str | UnsetType = UNSET
    hint: str | UnsetType = UNSET


def item_answer(kept: KeptItem) -> RepricedItem:
    """A kept item as it is answered."""
    return RepricedItem(
        id=kept.quote,
        revision=kept.revision,
        digest=kept.digest,
        state=kept.state,
        outcome=kept.outcome,
        reference=kept.reference,
        title=kept.title,
        old_total=kept.old_total,
        new_total=kept.new_total,
        change=kept.change,
        old_subtotal=kept.old_subtotal,
        new_subtotal=kept.new_subtotal,
        by_group=UNSET if kept.by_group is UNSET else tuple(map(_group_answer, kept.by_group)),
        old_margin=kept.old_margin,
        new_margin=kept.new_margin,
        margin_at_old_price=kept.margin_at_old_price,
        price_to_hold_margin=kept.price_to_hold_margin,
        total_to_hold_margin=kept.total_to_hold_margin,
        lost=kept.lost,
        under_margin=kept.under_margin,
        kept_overrides=kept.kept_overrides,
        kept_draft=kept.kept_draft,
        newer_terms=kept.newer_terms,
        written=UNSET if kept.written is UNSET else _written_answer(kept.written),
        problem=UNSET if kept.problem is UNSET else _problem_answer(kept.problem),
    )


def change_answer(kept: KeptChange) -> LargestChange:
    """A kept change as it is answered."""
    return LargestChange(
        id=kept.quote,
        revision=kept.revision,
        old_total=kept.old_total,
        new_total=kept.new_total,
        change=kept.change,
        reference=kept.reference,
    )


def under_answer(kept: KeptUnder, lost: str) -> UnderMargin:
    """A kept price under the floor as it is answered."""
    return UnderMargin(
        id=kept.quote,
        revision=kept.revision,
        reference=kept.reference,
        title=kept.title,
        old_total=kept.old_total,
        old_subtotal=kept.old_subtotal,
        old_margin=kept.old_margin,
        margin_at_old_price=kept.margin_at_old_price,
        price_to_hold_margin=kept.price_to_hold_margin,
        total_to_hold_margin=kept.total_to_hold_margin,
        lost=lost,
    )


def _group_answer(kept: KeptGroup) -> GroupCostChange:
    return GroupCostChange(
        group=kept.group, old_cost=kept.old_cost, new_cost=kept.new_cost, change=kept.change
    )


def _written_answer(kept: KeptWritten) -> WrittenRevision:
    return WrittenRevision(revision=kept.revision, digest=kept.digest)


def _problem_answer(kept: KeptProblem) -> ItemProblem:
    return ItemProblem(code=kept.code, status=kept.status, messages=kept.messages)
