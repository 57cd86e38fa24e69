"""What new prices mean for each of some saved quotes: the one function of preview and write."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import msgspec
from msgspec import UNSET

from service.catalog import Catalog
from service.core.errors import PriceFaultsError
from service.core.job.price_list import PriceList
from service.core.reprice import packed_format as form
from service.core.reprice.bulk_price import QUOTES_AT_ONCE, reprice_packed
from service.core.reprice.packed_columns import PackedFormatError, PriceColumns
from service.core.reprice.repriced import Repriced, reprice_ordinary, repriced_each
from service.operations.repricing.kept_items import (
    KeptGroup,
    KeptItem,
    KeptProblem,
    KeptWritten,
)
from service.storage.kept_pricing import unpack_inputs
from service.storage.repricing_chunks import Chosen

MOST_MESSAGES = 20
_SUBTOTAL, _TOTAL = form.AMOUNTS.index("subtotal"), form.AMOUNTS.index("total")

_STATE_WORDS = {"draft": "drafts", "issued": "quotes that are issued (include_issued)"}

ReadPricing = Callable[[str, int], bytes | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What quotes are re-priced on, the floor under their margin, the catalog, and what its terms
    say today, by id and SHA-256."""

    prices: PriceList
    columns: PriceColumns
    floor: Fraction | None
    terms: Mapping[str, str]
    catalog: Catalog

    def newer_terms(self, chosen: Chosen) -> str | None:
        """The id of the terms that a quote was priced by, where they say something else today;
        the quote keeps those that it has."""
        today = self.terms.get(chosen.terms or "")
        return None if today in (None, chosen.terms_digest) else chosen.terms


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
        found = iter(list(_in_columns(packed, target.columns)))
    except PackedFormatError:
        found = iter([None] * len(packed))
    return [
        _outcome(each, next(found) if each.packed is not None else None, target, read_pricing)
        for each in chosen
    ]


def _in_columns(packed: Sequence[bytes], prices: PriceColumns) -> Iterator[Repriced | None]:
    for first in range(0, len(packed), QUOTES_AT_ONCE):
        yield from repriced_each(reprice_packed(packed[first : first + QUOTES_AT_ONCE], prices))


def _outcome(
    chosen: Chosen, repriced: Repriced | None, target: Target, read_pricing: ReadPricing
) -> Outcome:
    """The bulk result, or the ordinary one where the columns could not hold the quote."""
    if repriced is not None and not repriced.kept_overrides:
        return Outcome(chosen=chosen, repriced=repriced)
    pricing = read_pricing(chosen.quote_id or "", chosen.revision or 0)
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


def missed(chosen: Chosen, states: Sequence[str]) -> Outcome:
    """A quote that was named and isn't there, or isn't in a state in which it is re-priced."""
    if chosen.state is None:
        name = chosen.quote_id or chosen.reference
        return failed(chosen, "unknown-quote", 404, f"there is no saved quote {name!r}")
    message = (
        f"the quote is at revision {chosen.revision}, {chosen.state}; re-priced here: "
        f"{' and '.join(_STATE_WORDS[state] for state in states)}"
    )
    return failed(chosen, "state-not-repriced", 409, message)


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
        outcome="failed",
        quote=chosen.quote_id or UNSET,
        revision=chosen.revision or UNSET,
        digest=chosen.digest or UNSET,
        state=chosen.state or UNSET,
        reference=chosen.reference or UNSET,
        title=chosen.title or UNSET,
        kept_draft=chosen.kept_draft or UNSET,
        newer_terms=target.newer_terms(chosen) or UNSET,
        problem=outcome.problem or UNSET,
    )
    if repriced is None:
        return item
    return msgspec.structs.replace(
        item,
        outcome="changed" if repriced.changed else "unchanged",
        old_total=money(repriced.old[_TOTAL], places),
        new_total=money(repriced.new[_TOTAL], places),
        change=money(repriced.new[_TOTAL] - repriced.old[_TOTAL], places),
        old_subtotal=money(repriced.old[_SUBTOTAL], places),
        new_subtotal=money(repriced.new[_SUBTOTAL], places),
        by_group=_groups(repriced, places),
        old_margin=margin_text(repriced.old_margin),
        new_margin=margin_text(repriced.new_margin),
        margin_at_old_price=margin_text(repriced.margin_at_old_price),
        price_to_hold_margin=money_or_none(repriced.price_to_hold_margin, places),
        total_to_hold_margin=money_or_none(repriced.total_to_hold_margin, places),
        lost=money(repriced.lost, places),
        under_margin=repriced.under(target.floor),
        kept_overrides=outcome.overridden,
        written=outcome.written or UNSET,
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


def margin_text(margin: int | None) -> str | None:
    """Ten-thousandths as a ratio of four decimals."""
    return None if margin is None else money(margin, form.MARGIN_PLACES)


def money(minor: int, places: int) -> str:
    """Whole minor units as an amount: `-1234.50`."""
    if not places:
        return str(minor)
    digits = str(minor).zfill(places + 1 + (minor < 0))
    return f"{digits[:-places]}.{digits[-places:]}"


def money_or_none(minor: int | None, places: int) -> str | None:
    """The same, where there may be no such amount."""
    return None if minor is None else money(minor, places)
