"""Which revisions a re-pricing reads, what it names and can't re-price, and what it leaves out."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import tzinfo
from typing import Any, Literal

from sqlalchemy import (
    ColumnElement,
    Connection,
    Integer,
    Select,
    and_,
    case,
    cast,
    exists,
    func,
    insert,
    literal,
    null,
    or_,
    select,
    union_all,
)

from service.storage.days import zone_of
from service.storage.quote_filter import QuoteFilter, filter_conditions
from service.storage.quote_lists import of_quote
from service.storage.quote_tables import QUOTE, QUOTE_REVISION
from service.storage.repricing_tables import REPRICING_MISS, REPRICING_QUOTE
from service.storage.repricings import change_run

# Drafts, and quotes whose price is out.
Repriced = Literal["draft", "issued"]
_Json = dict[str, Any]
_IS_OUT = QUOTE.c.out_state == "issued"


def choose_quotes(
    connection: Connection, run_id: str, wanted: QuoteFilter, states: Sequence[Repriced]
) -> int:
    """Choose the revisions that fit, the oldest quote first; returns how many, those among them
    that are named and can't be re-priced.

    `issued` are prices that are out, whatever draft stands beside; with them a draft that was
    re-priced from one is not read for itself.
    """
    chosen = union_all(*_branches(wanted, states, zone_of(connection))).subquery()
    place = func.row_number().over(order_by=(chosen.c.number, chosen.c.revision)) - 1
    names = [name for name in _NAMES if name not in ("repricing_id", "position")]
    rows = select(literal(run_id), place, *(chosen.c[name] for name in names))
    into = ["repricing_id", "position", *names]
    connection.execute(insert(REPRICING_QUOTE).from_select(into, rows))
    _put_misses(connection, run_id, _misses(connection, wanted, states))
    return _counted(connection, run_id)


def choose_as_in(connection: Connection, run_id: str, other_id: str) -> int:
    """Choose what another run has chosen; returns how many."""
    for table in (REPRICING_QUOTE, REPRICING_MISS):
        names = [column.name for column in table.c if column.name != "repricing_id"]
        held = select(literal(run_id), *(table.c[name] for name in names)).where(
            table.c.repricing_id == other_id
        )
        connection.execute(insert(table).from_select(["repricing_id", *names], held))
    return _counted(connection, run_id)


def find_misses(connection: Connection, run_id: str, first: int, last: int) -> tuple[_Json, ...]:
    """What a run names and can't re-price, from a place on, up to another."""
    held = REPRICING_MISS.c
    rows = connection.execute(
        select(REPRICING_MISS)
        .where(held.repricing_id == run_id, held.position >= first, held.position < last)
        .order_by(held.position)
    )
    return tuple(dict(row) for row in rows.mappings())


def find_left_out(connection: Connection, run_id: str) -> str:
    """How many open quotes a run doesn't look at, by the price list of their current revision,
    as JSON."""
    listed = QUOTE_REVISION.c.price_list
    chosen = (
        select(REPRICING_QUOTE.c.quote_id)
        .where(REPRICING_QUOTE.c.repricing_id == run_id)
        .distinct()
        .subquery()
    )
    # A join, which both databases do in one pass over a hundred thousand quotes.
    joined = QUOTE.join(QUOTE_REVISION, _at(QUOTE.c.current_revision)).outerjoin(
        chosen, chosen.c.quote_id == QUOTE.c.id
    )
    rows = connection.execute(
        select(listed, func.count())
        .select_from(joined)
        .where(or_(QUOTE.c.draft_revision.is_not(None), _IS_OUT))
        .where(chosen.c.quote_id.is_(None))
        .group_by(listed)
    )
    counted = sorted((price_list or "", count) for price_list, count in rows)
    return json.dumps(counted)


_NAMES = [column.name for column in REPRICING_QUOTE.c]
_DRAFT = QUOTE_REVISION.alias("draft")
_OUT = QUOTE_REVISION.alias("out")


def _at(number: ColumnElement[Any]) -> ColumnElement[bool]:
    return of_quote(QUOTE_REVISION.c, number)


def _branches(
    wanted: QuoteFilter, states: Sequence[Repriced], zone: tzinfo
) -> Iterable[Select[Any]]:
    fits = filter_conditions(wanted, QUOTE_REVISION.c, zone)
    if "issued" in states:
        joined = QUOTE.join(QUOTE_REVISION, _at(QUOTE.c.out_revision)).outerjoin(
            _DRAFT, of_quote(_DRAFT.c, QUOTE.c.draft_revision)
        )
        by_hand = case((_DRAFT.c.priced_by.is_(None), QUOTE.c.draft_revision))
        yield _columns("issued", by_hand).select_from(joined).where(_IS_OUT, *fits)
    if "draft" in states:
        drafts = _columns("draft", cast(null(), Integer)).select_from(
            QUOTE.join(QUOTE_REVISION, _at(QUOTE.c.draft_revision))
        )
        if "issued" in states:
            out = exists().where(
                of_quote(_OUT.c, QUOTE.c.out_revision),
                _IS_OUT,
                *filter_conditions(wanted, _OUT.c, zone),
            )
            drafts = drafts.where(~and_(QUOTE_REVISION.c.priced_by.is_not(None), out))
        yield drafts.where(*fits)


def _columns(state: Repriced, kept_draft: ColumnElement[Any]) -> Select[Any]:
    held = QUOTE_REVISION.c
    return select(
        QUOTE.c.number,
        held.quote_id,
        held.revision,
        literal(state).label("state"),
        held.digest,
        held.reference,
        held.title,
        held.price_list,
        held.price_list_revision,
        held.terms,
        held.terms_digest,
        kept_draft.label("kept_draft"),
    )


def _misses(connection: Connection, wanted: QuoteFilter, states: Sequence[Repriced]) -> list[_Json]:
    """What is named and isn't there, or isn't in one of the states."""
    misses: list[_Json] = []
    held = QUOTE_REVISION.c
    named: list[tuple[str, str, ColumnElement[bool]]] = [
        *(("quote_id", each, QUOTE.c.id == each) for each in wanted.ids or ()),
        *(
            ("reference", each, held.reference_folded == each.casefold())
            for each in wanted.references or ()
        ),
    ]
    for key, name, condition in named:
        rows = connection.execute(
            select(QUOTE, held.digest, held.reference)
            .select_from(QUOTE.join(QUOTE_REVISION, _at(QUOTE.c.current_revision)))
            .where(condition)
        ).all()
        if not rows:
            misses.append({key: name})
        misses += [_unfit(row) for row in rows if not _is_fit(row, states)]
    return misses


def _is_fit(row: Any, states: Sequence[Repriced]) -> bool:  # noqa: ANN401
    drafted = "draft" in states and row.draft_revision is not None
    return drafted or ("issued" in states and row.out_state == "issued")


def _unfit(row: Any) -> _Json:  # noqa: ANN401
    return {
        "quote_id": row.id,
        "reference": row.reference,
        "revision": row.current_revision,
        "state": row.state,
        "digest": row.digest,
    }


def _put_misses(connection: Connection, run_id: str, misses: Sequence[_Json]) -> None:
    counted = select(func.count()).where(REPRICING_QUOTE.c.repricing_id == run_id)
    first: int = connection.execute(counted).scalar_one()
    none = dict.fromkeys(("quote_id", "reference", "revision", "state", "digest"))
    rows = [
        {**none, **miss, "repricing_id": run_id, "position": place}
        for place, miss in enumerate(_once(misses), start=first)
    ]
    if rows:
        connection.execute(insert(REPRICING_MISS), rows)


def _once(misses: Sequence[_Json]) -> Iterable[_Json]:
    """A quote that is named twice, once."""
    return {(miss.get("quote_id"), miss.get("reference")): miss for miss in misses}.values()


def _counted(connection: Connection, run_id: str) -> int:
    """How many quotes a run has chosen, which is kept with it."""
    counts = [
        connection.execute(select(func.count()).where(table.c.repricing_id == run_id)).scalar_one()
        for table in (REPRICING_QUOTE, REPRICING_MISS)
    ]
    change_run(connection, run_id, total=sum(counts))
    return sum(counts)
