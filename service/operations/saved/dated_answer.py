"""What an answer says of its day: dates, and cautions that go by the day and by its prices."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import msgspec

from service.catalog import Catalog
from service.core.cautions.dated import dated_cautions, dated_codes, order_of
from service.core.measure import UNIT_SETS
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.caution_answer import caution_answer
from service.operations.quoting.quote_request import QuoteRequest

_Json = dict[str, Any]
_FIELDS = tuple(field.name for field in msgspec.structs.fields(QuoteAnswer))
_PLACE: str = QuoteRequest.model_fields["jurisdiction"].default


def valid_until(day: date, valid_days: int | None) -> date | None:
    """The last day on which a quote holds."""
    return None if valid_days is None else day + timedelta(days=valid_days)


def date_answer(answer: _Json, day: date, until: date | None) -> _Json:
    """An answer under another day, its keys in the order of a fresh one."""
    dates = {"issued_on": day.isoformat()}
    if until is not None:
        dates["valid_until"] = until.isoformat()
    held = {key: value for key, value in answer.items() if key != "valid_until"} | dates
    known = {name: held[name] for name in _FIELDS if name in held}
    return {**known, **held}


def caution_again(answer: _Json, request: _Json, holds_from: date | None, catalog: Catalog) -> None:
    """Give the cautions that go by the day of an answer and by the day from which its prices hold
    as a fresh quote would. A place that the catalog doesn't have any more leaves them."""
    entry = catalog.jurisdictions.get(request.get("jurisdiction", _PLACE))
    if entry is None or "cautions" not in answer:
        return
    day = date.fromisoformat(answer["issued_on"]) if "issued_on" in answer else None
    early = day is not None and holds_from is not None and day < holds_from
    month = None if day is None else day.month
    given = dated_cautions(entry.core, month, UNIT_SETS[answer["units"]], not_effective=early)
    codes = dated_codes(entry.core)
    cautions = [each for each in answer["cautions"] if each["code"] not in codes]
    order = {code: place for place, code in enumerate(order_of(entry.core))}
    for caution in given:
        made = msgspec.to_builtins(caution_answer(caution))
        after = (
            place
            for place, each in enumerate(cautions)
            if order.get(each["code"], -1) > order[caution.code]
        )
        cautions.insert(next(after, len(cautions)), made)
    answer["cautions"] = cautions
