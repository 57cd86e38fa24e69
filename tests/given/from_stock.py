"""What may be charged from stock, for the tests of prices."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from service.core.takeoff.need import Order, Ways
from service.core.takeoff.quantities import QuantityLine
from tests.given.money import bought


def pipe_of_stock() -> QuantityLine:
    """Two rolls of 50 ft of pipe, or 61 ft of it where it is charged from stock."""
    roll = bought("pipe", "2", "roll", pack=("50", "ft"), group="pipe")
    as_bought = Order(
        order=roll.order,
        order_unit="roll",
        sold_per="pack",
        how=(),
        pack_content=Decimal(50),
        pack_unit="ft",
    )
    charged = Order(order=Decimal(61), order_unit="ft", sold_per="ft", how=(), stock=True)
    return replace(roll, ways=Ways(bought=as_bought, charged=charged))
