"""What new prices mean for each of some saved quotes: the one function of preview and write."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import msgspec
from msgspec import UNSET

from service.core.errors import PriceFaultsError
from service.core.job.price_list import PriceList
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_price import reprice_packed
from service.core.reprice.packed_columns import PackedFormatError, PriceColumns
from service.core.reprice.repriced import Repriced, reprice_ordinary, repriced_each
from service.operations.repricing.kept_items import (
    KeptChange,
    KeptGroup,
    KeptItem,
    KeptProblem,
    KeptWritten,
)
from service.storage.kept_pricing import unpack_inputs
from service.storage.repricing_chunks import Chosen, Counts

LARGEST_CHANGES = 10
MOST_MESSAGES = 20
_SUBTOTAL, _TOTAL = form.AMOUNTS.index("subtotal"), form.AMOUNTS.index("total")

ReadPricing = Callable[[str, int], bytes | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What quotes are re-priced on, and the floor under their margin."""

    prices: PriceList
    columns: PriceColumns
    floor: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """A quote and what became of it: amounts, or a problem."""

    chosen: Chosen
    repriced: Repriced | None = None
    problem: KeptProblem | None = None
    overridden: tuple[str, ...] = ()
    written: KeptWritten | None = None


def reprice_chosen(
    chosen: Sequence[Chosen], target: Target, read_pricing: ReadPricing
) -> list[Outcome]:
    """Re-price quotes, in their order; one that can't be is an outcome with its problem.

    `read_pricing` gives the pricing of a revision as a whole, for the few that need it.
    """
    packed = [each.packed for each in chosen if each.packed is not None]
    try:
        found = iter(list(repriced_each(reprice_packed(packed, target.columns))))
    except PackedFormatError:
        found = iter([None] * len(packed))
    return [
        _outcome(each, next(found) if each.packed is not None else None, target, read_pricing)
        for each in chosen
    ]


def _outcome(
    chosen: Chosen, repriced: Repriced | None, target: Target, read_pricing: ReadPricing
) -> Outcome:
    """The bulk result, or the ordinary one where the columns could not hold the quote."""
    if repriced is not None and not repriced.kept_overrides:
        return Outcome(chosen=chosen, repriced=repriced)
    pricing = read_pricing(chosen.quote_id, chosen.revision)
    if pricing is None:
        message = "this revision was kept without what re-pricing reads; save it once more"
        return failed(chosen, "pricing-missing", 409, message)
    inputs = unpack_inputs(pricing)
    if inputs.currency != target.prices.currency:
        message = f"the quote is in {inputs.currency}, the price list in {target.prices.currency}"
        return failed(chosen, "currency-mismatch", 422, message)
    try:
        return Outcome(
            chosen=chosen,
            repriced=repriced or reprice_ordinary(inputs, pricing, target.prices),
            overridden=tuple(sorted(inputs.overrides)),
        )
    except PriceFaultsError as error:
        codes = dict.fromkeys(fault.code for fault in error.faults)
        code = next(iter(codes)) if len(codes) == 1 else "request-invalid"
        return failed(chosen, code, 422, *(fault.message for fault in error.faults))


def failed(chosen: Chosen, code: str, status: int, *messages: str) -> Outcome:
    """A quote that could not be re-priced."""
    problem = KeptProblem(code=code, status=status, messages=messages[:MOST_MESSAGES])
    return Outcome(chosen=chosen, problem=problem)


def with_written(outcome: Outcome, written: KeptWritten) -> Outcome:
    """The same, with the revision that was made."""
    return replace(outcome, written=written)


def item_of(outcome: Outcome, target: Target) -> KeptItem:
    """An outcome as it is kept."""
    chosen, repriced, places = outcome.chosen, outcome.repriced, target.prices.minor_places
    item = KeptItem(
        quote=chosen.quote_id,
        revision=chosen.revision,
        digest=chosen.digest,
        state=chosen.state,
        outcome="failed",
        reference=chosen.reference or UNSET,
        problem=outcome.problem or UNSET,
    )
    if repriced is None:
        return item
    held = repriced.price_to_hold_margin
    return msgspec.structs.replace(
        item,
        outcome="changed" if repriced.changed else "unchanged",
        old_total=money(repriced.old[_TOTAL], places),
        new_total=money(repriced.new[_TOTAL], places),
        change=money(repriced.new[_TOTAL] - repriced.old[_TOTAL], places),
        old_subtotal=money(repriced.old[_SUBTOTAL], places),
        new_subtotal=money(repriced.new[_SUBTOTAL], places),
        by_group=_groups(repriced, places),
        old_margin=_margin(repriced.old_margin),
        new_margin=_margin(repriced.new_margin),
        margin_at_old_price=_margin(repriced.margin_at_old_price),
        price_to_hold_margin=None if held is None else money(held, places),
        under_margin=repriced.under(target.floor),
        kept_overrides=outcome.overridden,
        written=outcome.written or UNSET,
    )


def counts_of(outcomes: Sequence[Outcome], floor: Fraction | None) -> Counts:
    """What some outcomes come to."""
    done = [outcome.repriced for outcome in outcomes if outcome.repriced is not None]
    return Counts(
        chunks=1,
        done=len(outcomes),
        changed=sum(each.changed for each in done),
        under_margin=sum(each.under(floor) for each in done),
        failed=len(outcomes) - len(done),
        old_total=sum(each.old[_TOTAL] for each in done),
        new_total=sum(each.new[_TOTAL] for each in done),
    )


def largest_changes(outcomes: Sequence[Outcome], places: int) -> list[KeptChange]:
    """The quotes whose total changes most, the largest first, ties in their order."""
    return [_change(chosen, repriced, places) for chosen, repriced in _most_changed(outcomes)]


def _most_changed(outcomes: Sequence[Outcome]) -> list[tuple[Chosen, Repriced]]:
    def held() -> Iterator[tuple[Chosen, Repriced]]:
        for outcome in outcomes:
            repriced = outcome.repriced
            if repriced is not None and repriced.old[_TOTAL] != repriced.new[_TOTAL]:
                yield outcome.chosen, repriced

    ordered = sorted(held(), key=lambda pair: -abs(pair[1].new[_TOTAL] - pair[1].old[_TOTAL]))
    return ordered[:LARGEST_CHANGES]


def _change(chosen: Chosen, repriced: Repriced, places: int) -> KeptChange:
    return KeptChange(
        quote=chosen.quote_id,
        revision=chosen.revision,
        old_total=money(repriced.old[_TOTAL], places),
        new_total=money(repriced.new[_TOTAL], places),
        change=money(repriced.new[_TOTAL] - repriced.old[_TOTAL], places),
        reference=chosen.reference or UNSET,
    )


def _groups(repriced: Repriced, places: int) -> tuple[KeptGroup, ...]:
    """The groups whose cost changes, in their order."""
    columns = zip(form.GROUP_CODES, repriced.old_by_group, repriced.new_by_group, strict=True)
    return tuple(
        KeptGroup(
            group=group,
            old_cost=money(old, places),
            new_cost=money(new, places),
            change=money(new - old, places),
        )
        for group, old, new in columns
        if old != new
    )


def _margin(margin: int | None) -> str | None:
    """Ten-thousandths as a ratio of four decimals."""
    return None if margin is None else money(margin, form.MARGIN_PLACES)


def money(minor: int, places: int) -> str:
    """Whole minor units as an amount: `-1234.50`."""
    if not places:
        return str(minor)
    whole, rest = divmod(abs(minor), 10**places)
    return f"{'-' if minor < 0 else ''}{whole}.{rest:0{places}d}"
