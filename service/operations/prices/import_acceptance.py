"""What an import does only where somebody says so: large changes, costs of 0, removals."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from service.core.errors import Fault
from service.core.price.price_changes import ChangedPrice, PriceDifference, convert
from service.core.rounding import to_step

CHANGES: Final = "accept_changes"
REMOVALS: Final = "accept_removals"
ACCEPTANCES: Final = (CHANGES, REMOVALS)
_CODES: Final = {CHANGES: "changes-not-accepted", REMOVALS: "removals-not-accepted"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Unaccepted:
    """One item whose change needs a word: `by` the acceptance of that name. `cell` is where the
    file says it; None for an item that it leaves out."""

    by: str
    item: str
    cell: str | None
    message: str


def to_accept(
    shown: PriceDifference, cells: Mapping[str, str], largest: Decimal
) -> tuple[Unaccepted, ...]:
    """What of a difference needs acceptance. `cells`: where each item's cost stands; `largest`:
    the share of the old cost by which a cost may change without a word."""
    return (*_costs_of_nothing(shown, cells), *_changes(shown, cells, largest), *_removals(shown))


def not_accepted(each: Unaccepted) -> Fault:
    """The fault of a write that didn't accept what it has to."""
    at = each.cell or f"item {each.item}"
    hint = f"look at it, then write with {each.by}"
    return Fault(code=_CODES[each.by], at=(at,), message=each.message, hint=hint)


def _costs_of_nothing(shown: PriceDifference, cells: Mapping[str, str]) -> Iterator[Unaccepted]:
    """New items that cost nothing."""
    for item, price in shown.added:
        if not price.unit_cost:
            message = f"{item} is new and costs 0 per {price.per}"
            yield Unaccepted(by=CHANGES, item=item, cell=cells.get(item), message=message)


def _changes(
    shown: PriceDifference, cells: Mapping[str, str], largest: Decimal
) -> Iterator[Unaccepted]:
    for changed in shown.changed:
        if _is_large(changed, largest):
            item, old, new = changed.item, changed.old, changed.new
            message = (
                f"{item}: {old.unit_cost} per {old.per} becomes {new.unit_cost} per {new.per}"
                f"{_percent(changed)}"
            )
            yield Unaccepted(by=CHANGES, item=item, cell=cells.get(item), message=message)


def _is_large(changed: ChangedPrice, largest: Decimal) -> bool:
    """Whether a cost changes by more than a share of the old one, to 0 or from 0."""
    new = convert(changed.new.unit_cost, changed.new.per, changed.old.per)
    old = Fraction(changed.old.unit_cost)
    if new is None:
        return True
    if new == old:
        return False
    return new == 0 or abs(new - old) > Fraction(largest) * old


def _percent(changed: ChangedPrice) -> str:
    if changed.percent is None:
        return ""
    return f", {to_step(Fraction(changed.percent), Decimal('0.1')):+f} %"


def _removals(shown: PriceDifference) -> Iterator[Unaccepted]:
    for item, price in shown.removed:
        message = f"{item} at {price.unit_cost} per {price.per} would no longer be sold"
        yield Unaccepted(by=REMOVALS, item=item, cell=None, message=message)
