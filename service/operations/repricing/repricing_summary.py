"""What a chunk of a re-pricing comes to: counts, its largest changes, prices that are out and under
the floor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from msgspec import UNSET

from service.core.reprice import packed_format as form
from service.core.reprice.repriced import Repriced
from service.operations.repricing.kept_items import KeptChange, KeptUnder
from service.operations.repricing.repricing_items import (
    Outcome,
    Target,
    margin_text,
    money,
    money_or_none,
)
from service.storage.repricing_chunks import Chosen, Counts

LARGEST_CHANGES = 10
MOST_UNDER = 100
_SUBTOTAL, _TOTAL = form.AMOUNTS.index("subtotal"), form.AMOUNTS.index("total")


def counts_of(outcomes: Sequence[Outcome], target: Target) -> Counts:
    """What some outcomes come to."""
    floor = target.floor
    done = [outcome.repriced for outcome in outcomes if outcome.repriced is not None]
    return Counts(
        chunks=1,
        done=len(outcomes),
        changed=sum(each.changed for each in done),
        under_margin=sum(each.under(floor) for each in done),
        failed=len(outcomes) - len(done),
        old_total=sum(each.old[_TOTAL] for each in done),
        new_total=sum(each.new[_TOTAL] for each in done),
        out_under_margin=sum(is_out_and_under(outcome, floor) for outcome in outcomes),
        newer_terms=sum(target.newer_terms(outcome.chosen) is not None for outcome in outcomes),
    )


def is_out_and_under(outcome: Outcome, floor: Fraction | None) -> bool:
    """Whether a price is out and leaves less than the floor over the new cost."""
    repriced = outcome.repriced
    return outcome.chosen.state == "issued" and repriced is not None and repriced.under(floor)


def under_margin(outcomes: Sequence[Outcome], target: Target) -> list[KeptUnder]:
    """Prices that are out and under the floor, the one that loses most first."""
    under = [
        _under(outcome.chosen, outcome.repriced, target.prices.minor_places)
        for outcome in outcomes
        if outcome.repriced is not None and is_out_and_under(outcome, target.floor)
    ]
    return sorted(under, key=lambda each: -each.lost)[:MOST_UNDER]


def _under(chosen: Chosen, repriced: Repriced, places: int) -> KeptUnder:
    return KeptUnder(
        quote=chosen.quote_id or "",
        revision=chosen.revision or 0,
        reference=chosen.reference or UNSET,
        title=chosen.title or UNSET,
        old_total=money(repriced.old[_TOTAL], places),
        old_subtotal=money(repriced.old[_SUBTOTAL], places),
        old_margin=margin_text(repriced.old_margin),
        margin_at_old_price=margin_text(repriced.margin_at_old_price) or "",
        price_to_hold_margin=money_or_none(repriced.price_to_hold_margin, places),
        total_to_hold_margin=money_or_none(repriced.total_to_hold_margin, places),
        lost=repriced.lost,
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
        quote=chosen.quote_id or "",
        revision=chosen.revision or 0,
        old_total=money(repriced.old[_TOTAL], places),
        new_total=money(repriced.new[_TOTAL], places),
        change=money(repriced.new[_TOTAL] - repriced.old[_TOTAL], places),
        reference=chosen.reference or UNSET,
    )
