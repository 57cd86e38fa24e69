"""Quantity lines as they are kept with a quote's pricing inputs, and back, exactly."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from service.core.measure import UNITS
from service.core.takeoff.haulage import Haulage, Loads
from service.core.takeoff.need import Order, Ways
from service.core.takeoff.quantities import QuantityLine

_Json = dict[str, Any]
_LINE_TEXTS = ("item", "description", "group", "dimension", "order_unit", "sold_per", "kind")


def text_of(amount: Decimal | None) -> str | None:
    """An amount as it is kept."""
    return None if amount is None else str(amount)


def amount_of(text: str | None) -> Decimal | None:
    """A kept amount again."""
    return None if text is None else Decimal(text)


def shares_of(held: list[list[Any]]) -> tuple[tuple[str, float], ...]:
    """Kept shares again."""
    return tuple((name, share) for name, share in held)


def keep_line(line: QuantityLine) -> _Json:
    """What pricing reads of a line; how the others were counted stands in the answer."""
    return {
        **{name: getattr(line, name) for name in _LINE_TEXTS},
        "net": line.net,
        "waste": str(line.waste),
        "order": str(line.order),
        "shares": line.shares,
        "pack": [text_of(line.pack_content), line.pack_unit],
        "packs": line.packs,
        "weight_kg": line.weight_kg,
        "haulage": None if line.haulage is None else _haulage(line.haulage),
        "ways": None if line.ways is None else _ways(line, line.ways),
    }


def read_line(held: _Json) -> QuantityLine:
    """The line again; one that was kept before stock was has no ways."""
    line = _read_bought(held)
    kept = held.get("ways")
    if kept is None:
        return line
    bought, charged = map(_read_order, kept["orders"])
    used = charged if kept["stock"] else bought
    return replace(
        line,
        how=(*kept["before"], *used.how),
        ways=Ways(bought=bought, charged=charged),
        stock=used.stock,
        pack_word=used.pack_word,
        increment_assumed=used.increment_assumed,
    )


def _read_bought(held: _Json) -> QuantityLine:
    return QuantityLine(
        **{name: held[name] for name in _LINE_TEXTS},
        net=held["net"],
        waste=Decimal(held["waste"]),
        order=Decimal(held["order"]),
        shares=shares_of(held["shares"]),
        how=(),
        pack_content=amount_of(held["pack"][0]),
        pack_unit=held["pack"][1],
        packs=None if held["packs"] is None else tuple(held["packs"]),
        weight_kg=held["weight_kg"],
        haulage=_read_haulage(held.get("haulage")),
    )


def _ways(line: QuantityLine, ways: Ways) -> _Json:
    """Both ways to order a line, and what stands before its order in `how`."""
    last = ways.charged if line.stock else ways.bought
    return {
        "stock": line.stock,
        "before": line.how[: len(line.how) - len(last.how)],
        "orders": [_order(ways.bought), _order(ways.charged)],
    }


def _order(order: Order) -> list[Any]:
    return [
        [str(order.order), order.order_unit, order.sold_per],
        order.how,
        order.packs,
        order.weight_kg,
        [text_of(order.pack_content), order.pack_unit, order.pack_word],
        [order.increment_assumed, order.stock],
    ]


def _read_order(held: list[Any]) -> Order:
    (amount, unit, per), how, packs, weight, (content, pack_unit, word), flags = held
    return Order(
        order=Decimal(amount),
        order_unit=unit,
        sold_per=per,
        how=tuple(how),
        packs=None if packs is None else tuple(packs),
        weight_kg=weight,
        pack_content=amount_of(content),
        pack_unit=pack_unit,
        pack_word=word,
        increment_assumed=flags[0],
        stock=flags[1],
    )


def _haulage(haulage: Haulage) -> _Json:
    """What is carried, in each way in which a price may ask for it, and how that was counted."""
    loads = haulage.loads
    return {
        "amounts": [haulage.volume_m3, haulage.mass_kg],
        "loads": None if loads is None else [loads.count, loads.how],
        "sold": [haulage.sold.symbol, haulage.settled, text_of(haulage.increment)],
        "how": haulage.how,
    }


def _read_haulage(held: _Json | None) -> Haulage | None:
    """None also of a line that was kept before these amounts were: it stays ordered as it is."""
    if held is None:
        return None
    (volume_m3, mass_kg), (sold, settled, increment) = held["amounts"], held["sold"]
    return Haulage(
        volume_m3=volume_m3,
        mass_kg=mass_kg,
        loads=held["loads"] and Loads(count=held["loads"][0], how=held["loads"][1]),
        sold=UNITS[sold],
        settled=settled,
        increment=amount_of(increment),
        how=tuple(held["how"]),
    )
