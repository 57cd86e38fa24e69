"""A page of hand arithmetic beside an answer: each figure of a job by a short name.

A page is a table of names and figures: `net garden_6in`, `hours set_units`, `cost crew_hour`. It is
complete: an answer with a figure that the page hasn't, or the other way round, fails.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

import pytest

from tests.given.quote_requests import Json

Figure = int | float | Decimal | Fraction
Page = Mapping[str, Figure]
# By item what is in place, what is ordered and, where its weight is known, what that weighs.
Lines = Mapping[str, tuple[Figure, ...]]
# Nine digits are shown of what is measured; hours and money are exact.
NEAR = 1e-8
# The service sums the end of a cut over broken ground ray by ray.
BROKEN_GROUND = 2e-5
ROLL_UP = (
    "direct_cost",
    "overhead",
    "contingency",
    "profit",
    "subtotal",
    "tax",
    "total",
    "deposit",
)
VOLUMES = ("cut", "backfill", "fill", "reused", "haul_off", "import", "import_fill")


def assert_page(answer: Json, page: Page, *, volumes: float = NEAR) -> None:
    """Every figure of the answer is the page's, and the page has no other.

    `volumes` is how near, in relation to them, earth and what is bought or hauled of it must be.
    """
    found = dict(figures(answer))
    assert sorted(found) == sorted(page)
    wrong = {
        name: (found[name], float(page[name]))
        for name in page
        if not _same(name, found[name], page[name], volumes)
    }
    assert wrong == {}


def _same(name: str, found: Decimal, by_hand: Figure, volumes: float) -> bool:
    kind, item = name.split(" ", maxsplit=1)[0], name.rsplit(" ", maxsplit=1)[-1]
    if item in VOLUMES and kind != "order":
        return float(found) == pytest.approx(float(by_hand), rel=volumes, abs=1e-9)
    if kind in ("net", "weight"):
        return float(found) == pytest.approx(float(by_hand), rel=NEAR)
    return found == by_hand


def figures(answer: Json) -> Iterator[tuple[str, Decimal]]:
    """Name and figure of what is counted, dug, worked and paid, in the answer's units."""
    for line in answer["quantities"]:
        yield f"net {line['item']}", _value(line["net"])
        yield f"order {line['item']}", _value(line["order"])
        if "weight" in line:
            yield f"weight {line['item']}", _value(line["weight"])
    yield from _of_earth(answer.get("earthwork"))
    yield from _of_work(answer.get("labor"))
    for line in answer["price"]["lines"]:
        yield f"cost {line['item']}", Decimal(line["cost"])
    for amount in ROLL_UP:
        yield amount, Decimal(answer["price"][amount])


def _of_earth(earthwork: Json | None) -> Iterator[tuple[str, Decimal]]:
    if earthwork:
        for name in ("cut", "backfill", "fill", "reused", "haul_off", "import"):
            yield name, _value(earthwork[name])
        yield "haul_loads", Decimal(earthwork["haul_loads"])
        yield "import_loads", Decimal(earthwork["import_loads"])


def _of_work(labor: Json | None) -> Iterator[tuple[str, Decimal]]:
    if labor:
        # Site work by machine stands before what people do of the same task.
        seen: Counter[str] = Counter()
        for task in labor["tasks"]:
            seen[task["task"]] += 1
            again = f" {seen[task['task']]}" if seen[task["task"]] > 1 else ""
            yield f"hours {task['task']}{again}", Decimal(task["hours"])
        for crew in labor["crews"]:
            yield f"days {crew['crew']}", Decimal(crew["days"])
            yield f"paid {crew['crew']}", Decimal(crew["paid_hours"])
        for machine in labor["equipment"]:
            yield f"machine hours {machine['machine']}", Decimal(machine["hours"])
            yield f"machine days {machine['machine']}", Decimal(machine["days"])


def _value(measure: dict[str, Any]) -> Decimal:
    return Decimal(measure["value"])


def counted(lines: Lines) -> dict[str, Figure]:
    """A page's quantity lines."""
    kinds = ("net", "order", "weight")
    return {
        f"{kind} {item}": figure
        for item, each in lines.items()
        for kind, figure in zip(kinds, each, strict=False)
    }


def hours(quantity: Figure, *rate: str, factor: str = "1") -> Decimal:
    """Hours of a task to 0.01 h: quantity x rate x factor; a rate of three is (low + 4 likely +
    high) / 6."""
    return _to_cent(_fraction(quantity) * expected(*rate) * Fraction(factor))


def machine_hours(quantity: Figure, *output: str, share: str = "3/4", factor: str = "1") -> Decimal:
    """Hours of a machine to 0.01 h that moves `output` in an hour of 60 minutes and works a share
    of it. An output of low, likely and high is one of hours: the high output has the low hours."""
    each = [str(1 / (Fraction(of) * Fraction(share))) for of in reversed(output)]
    return hours(quantity, *each, factor=factor)


def expected(*rate: str) -> Fraction:
    """The expected value of one figure, or of low, likely and high."""
    if len(rate) == 1:
        return Fraction(rate[0])
    low, likely, high = (Fraction(each) for each in rate)
    return (low + 4 * likely + high) / 6


def cost(quantity: Figure, unit_cost: str) -> Decimal:
    """A cost to the cent."""
    return _to_cent(_fraction(quantity) * Fraction(unit_cost))


Ground = tuple[tuple[float, float], ...]


def sloped_end(floor: float, front: float, rear: float, ground: Ground) -> float:
    """Volume that a slope of 1:1 at one end adds to a cut over a floor from `front` to `rear`.

    `ground` are offsets and levels, straight between. Over the floor lies a wedge, the integral of
    depth2 / 2; at the rear corner a quarter cone, at each angle from the soil side the integral of
    (depth - r) r up to where the cone comes out.
    """
    kinks = [x for x, _ in ground if front < x < rear]
    edges = [front, *kinks, rear]
    wedge = sum(
        integral(lambda x: (level(ground, x) - floor) ** 2 / 2, a, b)
        for a, b in itertools.pairwise(edges)
    )
    return wedge + integral(lambda t: _ray(floor, rear, ground, math.cos(t)), 0.0, math.pi / 2)


def _ray(floor: float, rear: float, ground: Ground, cos: float) -> float:
    """The integral of (depth - r) r along one ray from the rear corner."""
    kinks = [(x - rear) / cos for x, _ in ground if x > rear] if cos > 1e-9 else []
    total, r = 0.0, 0.0
    for end in [*kinks, math.inf]:
        # depth = a + b r along this piece
        near = level(ground, rear + r * cos) - floor
        b = cos * _rise(ground, rear + r * cos)
        a = near - b * r
        out = a / (1 - b)
        stop = min(end, out)
        total += a * (stop**2 - r**2) / 2 - (1 - b) * (stop**3 - r**3) / 3
        if out <= end:
            return total
        r = end
    return total


def level(ground: Ground, x: float) -> float:
    """Level of a polyline at an offset; its first and last pieces run on."""
    (x0, y0), (x1, y1) = _piece(ground, x)
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def _rise(ground: Ground, x: float) -> float:
    (x0, y0), (x1, y1) = _piece(ground, x)
    return (y1 - y0) / (x1 - x0)


def _piece(ground: Ground, x: float) -> tuple[tuple[float, float], tuple[float, float]]:
    pieces = list(itertools.pairwise(ground))
    return next((piece for piece in pieces if x < piece[1][0] - 1e-12), pieces[-1])


def integral(
    ordinate: Callable[[float], float], begin: float, end: float, *, steps: int = 2000
) -> float:
    """Simpson's rule over an even number of steps."""
    step = (end - begin) / steps
    inner = math.fsum((4 if k % 2 else 2) * ordinate(begin + k * step) for k in range(1, steps))
    return (ordinate(begin) + inner + ordinate(end)) * step / 3


def up(quantity: float, step: str = "1") -> Decimal:
    """Rounded up to whole steps of an increment, a pack or a load."""
    return math.ceil(round(quantity / float(step), 9)) * Decimal(step)


def rolled_up(
    costs: Mapping[str, Decimal],
    untaxed: tuple[str, ...],
    *,
    overhead: str = "0.10",
    contingency: str = "0.05",
    markup: str = "0.20",
    tax: str = "0.07",
    deposit: str = "0.30",
) -> dict[str, Figure]:
    """The page's costs and what they come to by the standard terms, tax on materials by price."""
    direct = sum(costs.values(), Decimal(0))
    over = cost(direct, overhead)
    spare = cost(direct + over, contingency)
    profit = cost(direct + over + spare, markup)
    subtotal = direct + over + spare + profit
    prices = _shared(subtotal, costs)
    taxed = sum((p for item, p in prices.items() if item not in untaxed), Decimal(0))
    sales_tax = cost(taxed, tax)
    return {
        **{f"cost {item}": each for item, each in costs.items()},
        "direct_cost": direct,
        "overhead": over,
        "contingency": spare,
        "profit": profit,
        "subtotal": subtotal,
        "tax": sales_tax,
        "total": subtotal + sales_tax,
        "deposit": cost(subtotal + sales_tax, deposit),
    }


def _shared(amount: Decimal, costs: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """An amount spread by cost, in cents; odd cents go to the largest remainders."""
    whole = sum(costs.values(), Decimal(0))
    exact = {
        item: Fraction(amount) * Fraction(each) / Fraction(whole) * 100
        for item, each in costs.items()
    }
    cents = {item: math.floor(each) for item, each in exact.items()}
    odd = int(amount * 100) - sum(cents.values())
    for item in sorted(exact, key=lambda item: cents[item] - exact[item])[:odd]:
        cents[item] += 1
    return {item: Decimal(each) / 100 for item, each in cents.items()}


def _fraction(figure: Figure) -> Fraction:
    """A measured figure counts with the nine digits that are shown."""
    return Fraction(f"{figure:.9g}") if isinstance(figure, float) else Fraction(figure)


def _to_cent(exact: Fraction) -> Decimal:
    return (Decimal(exact.numerator) / exact.denominator).quantize(Decimal("0.01"), ROUND_HALF_UP)
