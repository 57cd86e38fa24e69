"""What is asked of saved quotes, as conditions on a quote and one of its revisions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, tzinfo
from decimal import Decimal
from typing import Any, Literal

from sqlalchemy import ColumnElement, and_, case, exists, func, or_

from service.core.quote_state import State
from service.core.rounding import bound_in_minor_units
from service.storage.days import begin_of, end_of
from service.storage.quote_rows import MARGIN_PLACES, MOST_MINOR, iso
from service.storage.quote_tables import QUOTE, QUOTE_CUSTOMER, QUOTE_METADATA

# No currency has more places (ISO 4217).
_PLACES = (0, 1, 2, 3, 4)
OutState = Literal["issued", "accepted", "declined", "none"]
_Columns = Any  # of the table of revisions, or of an alias of it


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteFilter:
    """What is asked of saved quotes; None asks nothing. Bounds are inside. Ids and references name
    quotes: one that either names fits. `title` and `customer` are parts of the title and of the
    customer's names, in any case, as references are; totals are in units of the currency
    (`Decimal("1200.50")`), margins shares; dates of `created` are days in the zone
    of the service, moments of `updated` seconds; `metadata` are pairs that a quote has, all of
    them."""

    ids: tuple[str, ...] | None = None
    references: tuple[str, ...] | None = None
    states: tuple[State, ...] | None = None
    out_states: tuple[OutState, ...] | None = None
    draft: bool | None = None
    title: str | None = None
    customer: str | None = None
    metadata: tuple[tuple[str, str], ...] = ()
    currency: str | None = None
    price_list: str | None = None
    price_list_revision: int | None = None
    issued_from: date | None = None
    issued_to: date | None = None
    valid_until_from: date | None = None
    valid_until_to: date | None = None
    total_from: Decimal | None = None
    total_to: Decimal | None = None
    margin_from: Decimal | None = None
    margin_to: Decimal | None = None
    created_from: date | None = None
    created_to: date | None = None
    updated_from: int | None = None
    updated_to: int | None = None

    @property
    def judged_revision(self) -> ColumnElement[Any] | None:
        """The number of the revision that is asked of, where that isn't the current one."""
        if set(self.out_states or ("none",)) != {"none"}:
            return func.coalesce(QUOTE.c.out_revision, QUOTE.c.current_revision)
        return QUOTE.c.draft_revision if self.draft else None


def filter_conditions(
    wanted: QuoteFilter, columns: _Columns, zone: tzinfo
) -> tuple[ColumnElement[bool], ...]:
    """What a quote joined with the revision that is judged, by its columns, must meet. Days are
    those of a time zone."""
    return (
        *_of_quote(wanted, columns),
        *_of_revision(wanted, columns),
        *_bounds(wanted, columns),
        *_of_days(wanted, zone),
    )


def _of_quote(wanted: QuoteFilter, columns: _Columns) -> Iterator[ColumnElement[bool]]:
    named = [*_named(wanted, columns)]
    if named:
        yield or_(*named)
    if wanted.states is not None:
        yield QUOTE.c.state.in_(wanted.states)
    if wanted.out_states is not None:
        none = [QUOTE.c.out_state.is_(None)] if "none" in wanted.out_states else []
        yield or_(QUOTE.c.out_state.in_(wanted.out_states), *none)
    if wanted.draft is not None:
        drafts = QUOTE.c.draft_revision
        yield drafts.is_not(None) if wanted.draft else drafts.is_(None)
    if wanted.customer is not None:
        yield exists().where(
            QUOTE_CUSTOMER.c.quote_id == QUOTE.c.id,
            QUOTE_CUSTOMER.c.names_folded.contains(wanted.customer.casefold(), autoescape=True),
        )
    for key, value in wanted.metadata:
        held = QUOTE_METADATA.c
        yield exists().where(
            and_(held.quote_id == QUOTE.c.id, held.key == key, held.value == value)
        )


def _named(wanted: QuoteFilter, columns: _Columns) -> Iterator[ColumnElement[bool]]:
    if wanted.ids is not None:
        yield QUOTE.c.id.in_(wanted.ids)
    if wanted.references is not None:
        folded = [reference.casefold() for reference in wanted.references]
        yield columns.reference_folded.in_(folded)


def _of_revision(wanted: QuoteFilter, columns: _Columns) -> Iterator[ColumnElement[bool]]:
    for column, value in (
        (columns.currency, wanted.currency),
        (columns.price_list, wanted.price_list),
        (columns.price_list_revision, wanted.price_list_revision),
    ):
        if value is not None:
            yield column == value
    if wanted.title is not None:
        yield columns.title_folded.contains(wanted.title.casefold(), autoescape=True)


def _bounds(wanted: QuoteFilter, columns: _Columns) -> Iterator[ColumnElement[bool]]:
    for column, first, last in (
        (columns.issued_on, iso(wanted.issued_from), iso(wanted.issued_to)),
        (columns.valid_until, iso(wanted.valid_until_from), iso(wanted.valid_until_to)),
        (QUOTE.c.updated_at, wanted.updated_from, wanted.updated_to),
        (
            columns.total_minor,
            _in_minor_units(wanted.total_from, columns, up=True),
            _in_minor_units(wanted.total_to, columns, up=False),
        ),
        (columns.margin, _in_parts(wanted.margin_from, up=True), _in_parts(wanted.margin_to)),
    ):
        if first is not None:
            yield column >= first
        if last is not None:
            yield column <= last


def _of_days(wanted: QuoteFilter, zone: tzinfo) -> Iterator[ColumnElement[bool]]:
    if wanted.created_from is not None:
        yield QUOTE.c.created_at >= begin_of(wanted.created_from, zone)
    if wanted.created_to is not None:
        yield QUOTE.c.created_at < end_of(wanted.created_to, zone)


def _in_parts(share: Decimal | None, *, up: bool = False) -> int | None:
    """A bound on a share in ten-thousandths."""
    return None if share is None else bound_in_minor_units(share, MARGIN_PLACES, up=up)


def _in_minor_units(
    bound: Decimal | None, columns: _Columns, *, up: bool
) -> ColumnElement[int] | None:
    """A bound in the minor unit of each row's currency; beyond all amounts it stays a bound."""
    if bound is None:
        return None
    scaled = {
        places: max(-MOST_MINOR, min(MOST_MINOR, bound_in_minor_units(bound, places, up=up)))
        for places in _PLACES
    }
    return case(scaled, value=columns.minor_places)
