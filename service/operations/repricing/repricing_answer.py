"""Re-pricings as they are answered: the run, and one item a quote."""

from __future__ import annotations

from typing import Literal

from msgspec import UNSET, Struct, UnsetType

from service.core.reprice import packed_format as form
from service.core.reprice.repriced import Repriced
from service.operations.answer_figures import Money, Ratio


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
    """The revision that a write made of a quote."""

    revision: int
    digest: str


class RepricedItem(Struct, frozen=True):
    """One quote of a re-pricing: the revision that was read, and what new prices mean for it.

    `margin_at_old_price` is the share of the old subtotal that is left over the new cost,
    `price_to_hold_margin` the subtotal that leaves the old margin; null where there is none.
    """

    quote: str
    revision: int
    digest: str
    state: str
    outcome: Literal["changed", "unchanged", "failed"]
    reference: str | UnsetType = UNSET
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
    under_margin: bool | UnsetType = UNSET
    kept_overrides: tuple[str, ...] | UnsetType = UNSET
    written: WrittenRevision | UnsetType = UNSET
    problem: ItemProblem | UnsetType = UNSET


class LargestChange(Struct, frozen=True):
    """A quote among those whose total changes most."""

    quote: str
    revision: int
    old_total: Money
    new_total: Money
    change: str
    reference: str | UnsetType = UNSET


class RepricingCounts(Struct, frozen=True):
    """How many quotes: chosen, looked at, with other amounts, under the floor, failed. Those that
    failed are among the done."""

    total: int
    done: int
    changed: int
    under_margin: int
    failed: int


class RepricingSummary(Struct, frozen=True):
    """All quotes that could be re-priced, together; the largest changes first."""

    old_total: Money
    new_total: Money
    change: str
    largest_changes: tuple[LargestChange, ...]


class RepricingAnswer(Struct, frozen=True):
    """A re-pricing: what was asked, how far it is, and what it comes to so far."""

    id: str
    mode: Literal["preview", "write"]
    status: Literal["queued", "running", "succeeded", "failed", "cancelled"]
    price_list: str
    revision: int
    currency: str
    include_issued: bool
    margin_floor: Ratio | None
    counts: RepricingCounts
    summary: RepricingSummary
    created_at: str
    items: str
    preview: str | UnsetType = UNSET
    finished_at: str | UnsetType = UNSET
    failure: str | UnsetType = UNSET


def money(minor: int, places: int) -> str:
    """Whole minor units as an amount: `-1234.50`."""
    if not places:
        return str(minor)
    whole, rest = divmod(abs(minor), 10**places)
    return f"{'-' if minor < 0 else ''}{whole}.{rest:0{places}d}"


def margin_text(margin: int | None) -> str | None:
    """Ten-thousandths as a ratio of four decimals."""
    return None if margin is None else money(margin, form.MARGIN_PLACES)


def group_changes(of: Repriced, places: int) -> tuple[GroupCostChange, ...]:
    """The groups whose cost changes, in their order."""
    columns = zip(form.GROUP_CODES, of.old_by_group, of.new_by_group, strict=True)
    return tuple(
        GroupCostChange(
            group=group,
            old_cost=money(old, places),
            new_cost=money(new, places),
            change=money(new - old, places),
        )
        for group, old, new in columns
        if old != new
    )
