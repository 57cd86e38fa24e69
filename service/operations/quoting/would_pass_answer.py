"""What would pass where a check fails, as it leaves the service (rule 14.12)."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from msgspec import UNSET, Meta, Struct, UnsetType

from service.core import rounding
from service.core.quote import Quote
from service.core.would_pass import Alternative, ChangeName
from service.operations.answer_figures import Money
from service.operations.quoting.changes_request import PatchStep, patch_of
from service.operations.quoting.measures import plain
from service.operations.quoting.quote_request import QuoteRequest


class AlternativeAnswer(Struct, frozen=True):
    """Changes with which no check fails; with `what_if` their total, and that less the quote's."""

    changes: tuple[ChangeName, ...]
    text: str
    patch: Annotated[tuple[PatchStep, ...], Meta(description="Of the request, by RFC 6902.")]
    total: Money | UnsetType = UNSET
    difference: Money | UnsetType = UNSET


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
            difference=UNSET if each.total is None else plain(each.total - quote.price.total),
        )
        for each in found
    )


def changes_in_words(each: Alternative, quote: Quote) -> str:
    """The changes as a bidder says them."""
    return " and ".join(_words(change, each, quote) for change in each.changes)


def _words(change: ChangeName, each: Alternative, quote: Quote) -> str:
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
