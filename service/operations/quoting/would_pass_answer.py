"""What would pass where a check fails, as it leaves the service (rule 14.12)."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from msgspec import UNSET, Meta, Struct, UnsetType

from service.catalog import Catalog
from service.core import rounding
from service.core.built import Built
from service.core.measure import number
from service.core.quote import Quote
from service.core.screening.check import Check
from service.core.screening.check_table import CHECK_TABLE
from service.core.would_pass.alternative import (
    Alternative,
    ChangeName,
    Offered,
    Tried,
    WouldPass,
)
from service.operations.answer_figures import Money
from service.operations.quoting.changes_request import PatchStep, patch_of
from service.operations.quoting.measures import difference, plain
from service.operations.quoting.quote_request import QuoteRequest

_SHORT_DIGITS = 2
_NO_PRICE = ", or what would pass has no price in this list"


class AlternativeAnswer(Struct, frozen=True):
    """Changes with which no check fails; with `what_if` their total, and that less the quote's."""

    changes: tuple[ChangeName, ...]
    text: str
    patch: Annotated[tuple[PatchStep, ...], Meta(description="Of the request, by RFC 6902.")]
    total: Money | UnsetType = UNSET
    difference: Money | UnsetType = UNSET


def offered_by(catalog: Catalog) -> Offered:
    """What a catalog has to change to where a wall doesn't pass."""
    return Offered(
        soils=tuple(entry.core for entry in catalog.soils.values()),
        systems=tuple(entry.core for entry in catalog.wall_systems.values()),
    )


def alternative_answers(
    found: Iterable[Alternative], quote: Quote, request: QuoteRequest
) -> tuple[AlternativeAnswer, ...]:
    """Each with its words, its patch and, where it was priced, what it changes."""
    return tuple(
        AlternativeAnswer(
            changes=each.changes,
            text=changes_in_words(each, quote),
            patch=patch_of(request, quote.job, each.job),
            total=UNSET if each.total is None else plain(each.total),
            difference=UNSET if each.total is None else difference(each.total, quote.price.total),
        )
        for each in found
    )


def why_none(found: WouldPass, quote: Built) -> tuple[str, ...] | UnsetType:
    """Why no change passes: the nearest, and what it lacks; then whether other walls would.

    Unset where a change passes."""
    if found.sets:
        return UNSET
    others = [changes_in_words(each, quote) for each in found.other_walls]
    beside = (
        f"Another wall would pass: {'; or '.join(others)}."
        if others
        else "Nor does a lower wall or a deeper unit that was tried."
    )
    return (_why_not(found.nearest, quote), beside)


def _why_not(nearest: Tried | None, quote: Built) -> str:
    """What the nearest changes lack."""
    if nearest is None:
        return f"No change was left to try{_NO_PRICE if isinstance(quote, Quote) else ''}."
    changes = changes_in_words(nearest, quote)
    if nearest.check is None:
        return f"With {changes} no check fails, but {nearest.hindered}."
    words = f"{CHECK_TABLE[nearest.check.check].words} at {nearest.check.wall}"
    if not nearest.share:
        return f"No change that was tried passes: {words} fails with each."
    return (
        f"No change that was tried passes. The nearest: {changes}. With that, {words} "
        f"{_short(nearest.check)}."
    )


def _short(check: Check) -> str:
    """By how much a check misses its limit."""
    if check.value is None or check.required is None:
        return "fails"
    is_most = check.limit == "max"
    value = rounding.ratio_to_show(check.value, up=is_most)
    share = number(100 * abs(check.value / check.required.value - 1), _SHORT_DIGITS)
    limit, side = ("at most", "over") if is_most else ("at least", "short")
    return f"stays at {value}, {limit} {check.required.text} is required: {share} % {side}"


def changes_in_words(each: Alternative | Tried, quote: Built) -> str:
    """The changes as a bidder says them."""
    return " and ".join(_words(change, each, quote) for change in each.changes)


def _words(change: ChangeName, each: Alternative | Tried, quote: Built) -> str:
    job = each.job
    match change:
        case "soil_below_cap":
            return "soil behind the wall to the underside of the cap"
        case "better_fill":
            return f"{job.soils.fill.title.lower() if job.soils.fill else 'better fill'} as fill"
        case "layers":
            return "layers of reinforcement, which a licensed engineer designs"
        case "fewer_courses":
            step = job.system.standard.height_m
            less = max(
                rounding.whole_courses(old.profile[0].top_m - new.profile[0].top_m, step)
                for old, new in zip(quote.job.walls, job.walls, strict=True)
            )
            return f"{less} {'course' if less == 1 else 'courses'} less"
        case "deeper_units":
            return f"deeper units: {job.system.title}"
