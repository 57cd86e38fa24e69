"""What a visitor is answered: a range around a rounded price, or why somebody has to come.

The figures are made of the sale total alone: nothing here ever gets a cost.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from msgspec import UNSET, Meta, Struct, UnsetType

from service.catalog.documents.currency import minor_places
from service.catalog.documents.website import Website
from service.catalog.documents.website_choice import Look
from service.core import rounding
from service.operations.answer_figures import EntryId, Money

Reason = Literal[Look, "over_engineer_threshold", "does_not_pass", "engineer_needed", "not_priced"]


class RangeFigures(Struct, frozen=True):
    """What the wall may cost, tax included: around a total rounded to `rounded_to`."""

    below: Money
    above: Money
    currency: str
    rounded_to: Money


Reference = Annotated[EntryId, Meta(description="Where something was left: what it is asked by.")]


class RangeAnswer(Struct, frozen=True):
    """A range, what it rests on, what it doesn't hold, and what to take care of."""

    range: RangeFigures
    rests_on: tuple[str, ...]
    not_included: tuple[str, ...]
    cautions: tuple[str, ...]
    reference: Reference | UnsetType = UNSET


class ReasonAnswer(Struct, frozen=True):
    """Why no price is given before somebody has seen the place."""

    code: Reason
    text: str


class VisitFigures(Struct, frozen=True):
    """The reasons of a visit: one at least."""

    reasons: Annotated[tuple[ReasonAnswer, ...], Meta(min_length=1)]


class VisitAnswer(Struct, frozen=True):
    """Somebody has to come and look."""

    visit: VisitFigures
    reference: Reference | UnsetType = UNSET


def range_figures(total: Decimal, site: Website) -> RangeFigures:
    """The range of a sale total: rounded to the step first, half up; both ends are exact
    products of that figure."""
    places = minor_places(site.currency)
    middle = rounding.to_step(total, site.round_to)
    return RangeFigures(
        below=_money(middle * (1 - site.below), places),
        above=_money(middle * (1 + site.above), places),
        currency=site.currency,
        rounded_to=_money(site.round_to, places),
    )


def _money(amount: Decimal, places: int) -> str:
    """A sum with the currency's places, which it has already: see the step of a website."""
    return f"{rounding.minor_unit(amount, places):f}"
