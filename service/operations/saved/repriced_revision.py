"""A re-priced quote as a new revision: the stored answer with another price, and what its trucks
carry ordered in the units of that price; nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import msgspec

from service import json_text
from service.catalog import Catalog
from service.core import ENGINE_VERSION
from service.core.built import increment_assumptions, increment_field
from service.core.job.price_list import PriceList
from service.core.measure import UNIT_SETS
from service.core.needed import EXCLUDED, LISTED, OF_GOODS, NeededItem, goods_not_priced
from service.core.reprice.pricing_inputs import price_inputs
from service.core.takeoff.quantities import QuantityLine
from service.operations.quoting.quote_answer import (
    document_digest,
    needed_answer,
    price_answer,
    quantity_answer,
)
from service.operations.saved.dated_answer import caution_again, date_answer, valid_until
from service.storage.kept_pricing import pack_again, unpack_inputs
from service.storage.quote_rows import NewRevision, SavedRevision

_Json = dict[str, Any]

PRICED_BY = "priced_by"
_LEFT_OUT = ("complete", "not_priced")
NEEDED = "needed_not_priced"
_DECODER = msgspec.json.Decoder()
_ENCODER = msgspec.json.Encoder()


def reprice_revision(
    saved: SavedRevision, pricing: bytes, prices: PriceList, catalog: Catalog
) -> NewRevision:
    """The revision that a saved one becomes on other prices.

    Quantities, hours, cautions and their versions stay, but what trucks carry is ordered in the
    unit of its new price, and cautions that go by its day and prices are given as they are now;
    `price`, `price_list` and the digest are new, and `priced_by` says which engine priced it. The
    request names the new price list, so that it can be asked again. Raises PriceFaultsError.
    """
    inputs = unpack_inputs(pricing)
    price = price_inputs(inputs, prices)
    answer: dict[str, Any] = _DECODER.decode(saved.answer)
    request = _request(saved.request, prices)
    held = msgspec.to_builtins(price_answer(price, prices, ()))
    listed_by = replace(prices, overrides=inputs.overrides)
    answer["price"] = _as_kept(held, answer["price"], price.bought, listed_by, request)
    answer["price_list"] = {"id": prices.id, "revision": prices.revision}
    answer[PRICED_BY] = ENGINE_VERSION
    _order_again(answer, price.bought)
    _drop_effect(answer)
    caution_again(answer, request, prices.effective_from, catalog)
    answer["digest"] = document_digest(answer)
    return NewRevision(
        facts=replace(
            saved.head.facts,
            digest=answer["digest"],
            total=price.total,
            subtotal=price.subtotal,
            cost=price.direct_cost,
            margin=price.margin,
            price_list=prices.id,
            price_list_revision=prices.revision,
            priced_by=ENGINE_VERSION,
        ),
        request=json_text.as_received(request),
        answer=_ENCODER.encode(answer),
        pricing=pack_again(pricing, inputs, price),
    )


def _as_kept(
    held: _Json, kept: _Json, bought: Sequence[QuantityLine], prices: PriceList, request: _Json
) -> _Json:
    """A new price with what the total leaves out as it was kept, whatever an answer says about it
    today; of what is needed beside, who brings the goods goes by the new list. An answer of an
    earlier version doesn't say it."""
    del held[NEEDED]
    held |= {key: kept[key] for key in _LEFT_OUT if key in kept}
    if NEEDED in kept:
        goods = goods_not_priced(bought, prices, _left_out(request))
        held[NEEDED] = needed_again(kept[NEEDED], goods)
    return held


def _left_out(request: _Json) -> set[str | None]:
    """What extras of a request are for, and what it leaves out on purpose."""
    covered = {extra.get("for") for extra in request.get("extras", ())}
    return covered | set(request.get("excluded", ()))


def needed_again(kept: Sequence[_Json], goods: Sequence[NeededItem]) -> list[_Json]:
    """What an answer lists as needed, with freight and deposits as another price list leaves them
    open, in the order of a fresh one."""
    on_purpose = [each for each in kept if each["by"] == EXCLUDED]
    stays = [each for each in kept if each["by"] != EXCLUDED and each["what"] not in OF_GOODS]
    made = [msgspec.to_builtins(needed_answer(each)) for each in goods]
    return [*sorted((*stays, *made), key=lambda each: LISTED.index(each["what"])), *on_purpose]


def issue_repriced(
    saved: SavedRevision,
    day: date,
    valid_days: int | None,
    holds_from: date | None,
    catalog: Catalog,
) -> NewRevision:
    """A draft that a re-pricing made as it is issued on a day: with that day, a fresh validity, and
    the cautions that go by them; `holds_from` is the day from which its prices hold."""
    until = valid_until(day, valid_days)
    answer = date_answer(_DECODER.decode(saved.answer), day, until)
    request: _Json = json_text.loads(saved.request)  # type: ignore[assignment]
    request["issued_on"] = day.isoformat()
    caution_again(answer, request, holds_from, catalog)
    answer["digest"] = document_digest(answer)
    facts = replace(saved.head.facts, digest=answer["digest"], issued_on=day, valid_until=until)
    return NewRevision(
        facts=facts,
        request=json_text.as_received(request),
        answer=_ENCODER.encode(answer),
        pricing=saved.pricing,
    )


def _order_again(answer: dict[str, Any], bought: Sequence[QuantityLine]) -> None:
    """Put what trucks carry, and what comes from stock now or came from there before, as it is
    ordered now in place of how it was ordered before."""
    in_stock = {held["item"]: held.get("stock", False) for held in answer["quantities"]}
    again = {line.item: line for line in bought if _is_ordered_again(line, in_stock)}
    units = UNIT_SETS[answer["units"]]
    answer["quantities"] = [
        msgspec.to_builtins(quantity_answer(again[held["item"]], units))
        if held["item"] in again
        else held
        for held in answer["quantities"]
    ]
    answer["assumptions"] = list(_assumptions(answer["assumptions"], bought, again))


def _is_ordered_again(line: QuantityLine, in_stock: Mapping[str, bool]) -> bool:
    return line.haulage is not None or line.stock != in_stock.get(line.item, line.stock)


def _assumptions(
    held: Sequence[_Json], bought: Sequence[QuantityLine], again: Mapping[str, QuantityLine]
) -> Iterator[_Json]:
    """The assumptions, those on increments of what is ordered again as the orders are now; those
    on increments come last, in the order of the lines."""
    fields = {increment_field(line.item) for line in bought}
    before = {each["field"]: each for each in held if each["field"] in fields}
    yield from (each for each in held if each["field"] not in fields)
    for line in bought:
        field = increment_field(line.item)
        if line.item not in again and field in before:
            yield before[field]
        for each in increment_assumptions([line] if line.item in again else []):
            yield {"field": each.field, "value": each.value, "why": each.why}


def as_quoted(answer: bytes) -> bytes:
    """An answer as it would be had it been quoted at once: without the word that it was
    re-priced. Any other answer is what it was."""
    if PRICED_BY.encode("ascii") not in answer:
        return answer
    document: dict[str, Any] = _DECODER.decode(answer)
    if document.pop(PRICED_BY, None) is None:
        return answer
    document["digest"] = document_digest(document)
    return _ENCODER.encode(document)


def as_repriced(answer: bytes) -> bytes:
    """An answer as a re-pricing leaves it: without the price effect of layers."""
    document: dict[str, Any] = _DECODER.decode(answer)
    _drop_effect(document)
    document["digest"] = document_digest(document)
    return _ENCODER.encode(document)


def _drop_effect(answer: dict[str, Any]) -> None:
    """What layers cost was worked out at the old prices, of two quotes: one alone can't be
    re-priced to it. An answer of an older version has no screening."""
    answer.get("screening", {}).get("reinforcement", {}).pop("price_effect", None)


def _request(received: bytes, prices: PriceList) -> _Json:
    """The request as it was, priced on another list; what it changed for itself stays."""
    request: _Json = json_text.loads(received)  # type: ignore[assignment]
    asked = {"price_list": prices.id, "revision": prices.revision}
    overrides = request["prices"].get("overrides")
    request["prices"] = asked if overrides is None else {**asked, "overrides": overrides}
    return request
