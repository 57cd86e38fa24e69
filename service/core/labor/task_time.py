"""Hours of one task: how much of it there is, at so many hours per unit, made slower or faster by
factors. Machine-hours and person-hours are worked out alike."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import partial

from service.core import rounding
from service.core.fraction import Fraction
from service.core.job.factor import Factor
from service.core.labor.condition import Part
from service.core.labor.hours import TaskHours, Worker
from service.core.measure import Dimension, Unit, UnitSet, in_unit, number
from service.core.money import plain
from service.core.shares import Shares, add_up
from service.core.three_point import NORMAL_POINT, ThreePoint, low_and_high


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedTask:
    """A task of a crew or a machine: so much of something, in SI or counted, at `rate` hours per
    `unit`.

    `measured` says what is counted, `basis` where the rate comes from, both in words; `shares`
    are of the quantity. `parts` are those of the quantity that have factors of their own beside
    `factors`; together they are the quantity.
    """

    task: str
    title: str
    worker: Worker
    who: str
    measured: str
    quantity: float
    dimension: Dimension
    unit: Unit
    rate: ThreePoint
    factors: tuple[Factor, ...] = ()
    basis: str | None = None
    shares: Shares = ()
    parts: tuple[Part, ...] = ()


def time_task(task: RatedTask, units: UnitSet) -> TaskHours | None:
    """Hours of a task, half up to 0.01 h; None where there is nothing to do.

    The quantity is the figure that is shown (nine digits, in the unit of the rate), so that the
    hours can be re-added by hand and no float noise decides a half.
    """
    exact = task.rate.times(math.prod((f.factor for f in task.factors), start=_weighed(task)))
    if not exact.high:
        return None
    expected, deviation = exact.expected, exact.deviation
    variance = deviation * deviation
    low, high = (rounding.hours(point) for point in low_and_high(expected, variance))
    return TaskHours(
        task=task.task,
        title=task.title,
        worker=task.worker,
        who=task.who,
        quantity=task.quantity,
        dimension=task.dimension,
        hours=rounding.hours(expected),
        hours_low=low,
        hours_high=high,
        shares=_shares(task),
        told=partial(_told, task, units, exact, (low, high)),
        variance=variance,
    )


def _told(
    task: RatedTask, units: UnitSet, exact: ThreePoint, between: tuple[Decimal, Decimal]
) -> tuple[str, ...]:
    """The hours of a task in words."""
    return (
        f"measured by {task.measured}",
        *_conversion(task, units),
        *((task.basis,) if task.basis else ()),
        *_range_of_rate(task),
        _product(task, units, exact.expected),
        *_range_of_hours(exact, *between),
    )


def _shown(task: RatedTask, amount: float) -> str:
    return number(in_unit(amount, task.unit.symbol))


def _weighed(task: RatedTask) -> Fraction:
    """The quantity, each part of it times its own factor."""
    if not task.parts:
        return Fraction(Decimal(_shown(task, task.quantity)))
    return sum(
        (Fraction(Decimal(_shown(task, p.amount))) * p.factor.factor for p in task.parts),
        Fraction(0),
    )


def _shares(task: RatedTask) -> Shares:
    """What each wall has of the hours: of parts by their factors."""
    if not task.parts:
        return task.shares
    return add_up(
        (wall, net * float(part.factor.factor)) for part in task.parts for wall, net in part.shares
    )


def _conversion(task: RatedTask, units: UnitSet) -> Iterator[str]:
    """The conversion where the answer shows another unit than the rate has."""
    symbol = task.unit.symbol
    if units.unit_for(task.dimension) != symbol:
        shown = units.show(task.quantity, task.dimension)
        yield f"{shown} = {units.show(task.quantity, task.dimension, symbol)}"


def _range_of_rate(task: RatedTask) -> Iterator[str]:
    rate = task.rate
    if not rate.certain:
        yield (
            f"h per {task.unit.symbol}: ({plain(rate.low)} low + 4 x {plain(rate.likely)} likely "
            f"+ {plain(rate.high)} high) / 6 = {plain(rate.expected)}"
        )


def _product(task: RatedTask, units: UnitSet, exact: Fraction) -> str:
    symbol, hours = task.unit.symbol, rounding.hours(exact)
    quantity = " + ".join(
        f"{units.show(p.amount, task.dimension, symbol)} x {plain(p.factor.factor)} "
        f"({p.factor.words})"
        for p in task.parts
    )
    quantity = f"({quantity})" if quantity else units.show(task.quantity, task.dimension, symbol)
    chosen = "".join(f" x {plain(f.factor)} ({f.words})" for f in task.factors)
    product = f"{quantity} x {plain(task.rate.expected)} h per {symbol}{chosen} = {plain(exact)} h"
    return product if Fraction(hours) == exact else f"{product}, rounded to {plain(hours)} h"


def _range_of_hours(exact: ThreePoint, low: Decimal, high: Decimal) -> Iterator[str]:
    if not exact.certain:
        yield (
            f"deviation ({plain(exact.high)} high - {plain(exact.low)} low) / 6 = "
            f"{plain(exact.deviation)} h; -/+ {NORMAL_POINT} x the deviation: {plain(low)} h is "
            f"not reached in one case of five, {plain(high)} h not exceeded in four of five"
        )
