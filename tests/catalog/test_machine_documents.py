"""Machines and three-point figures of production rates, from text to the core."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from pydantic import ValidationError

from service.catalog import read_catalog
from service.catalog.documents.production_rates import RatesBody
from service.catalog.schemas import shipped_folder
from service.core.job.machine import Hired, Owned
from service.core.job.rates import Rates
from service.faults import faults_from
from tests.given.walls import ft, inch

CREW = {"title": "Crew", "item": "h", "size": 2, "paid_hours_per_day": "8", "worked_share": "1"}
TASK = {"id": "dig_by_hand", "title": "Dig", "crew": "crew", "measured_by": "cut_volume"}
BY_HAND = {**TASK, "hours": {"low": "1", "likely": "2", "high": "3"}, "per": "yd3"}
OWNED = {"title": "Digger", "owned": {"item": "digger_hour"}}
DIG = {"id": "dig", "title": "Dig", "machine": "digger", "measured_by": "cut_volume", "per": "yd3"}
PLATE = {
    "layers": {"granular": "4 in"},
    "width": "1 ft 9 in",
    "travel_per_minute": "70.4 ft",
    "passes": 4,
    "efficiency": "3/4",
}
Table = dict[str, Any]


def body(*machine_tasks: Table, machine: Table = OWNED, **more: object) -> Table:
    """Rates with one machine and its tasks."""
    return {
        "crews": {"crew": CREW},
        "tasks": [BY_HAND],
        "machines": {"digger": machine},
        "machine_tasks": list(machine_tasks),
        **more,
    }


def read(*machine_tasks: Table, machine: Table = OWNED, **more: object) -> Rates:
    """The core's rates."""
    return RatesBody.model_validate(body(*machine_tasks, machine=machine, **more)).to_core()


def faults(*machine_tasks: Table, machine: Table = OWNED, **more: object) -> dict[str, str]:
    """Places of the faults, with their codes."""
    with pytest.raises(ValidationError) as caught:
        RatesBody.model_validate(body(*machine_tasks, machine=machine, **more))
    found = faults_from(caught.value, RatesBody)
    return {"/".join(str(part) for part in fault.at): fault.code for fault in found}


def test_rates_body_to_core_reads_a_range() -> None:
    """Low, likely and high stand in the task."""
    found = read().tasks[0].hours_per_unit
    assert [found.low, found.likely, found.high] == [Fraction(1), Fraction(2), Fraction(3)]
    assert found.expected == Fraction(2)


def test_rates_body_to_core_reads_how_wide_a_machine_passes() -> None:
    """A clearance that is left out is 6 in; tracks that draw in have a width of their own."""
    wide = {**OWNED, "width": "39 in", "width_drawn_in": "30 in"}
    found = read(machine=wide).machines["digger"]
    assert (found.width_m, found.width_drawn_in_m) == pytest.approx((inch(39), inch(30)))
    assert found.clearance_m == pytest.approx(inch(6))
    assert read(machine={**wide, "clearance": "1 in"}).machines["digger"].clearance_m == (
        pytest.approx(inch(1))
    )


@pytest.mark.parametrize("width", [{}, {"width": "30 in"}])
def test_rates_body_refuses_tracks_that_draw_in_to_no_less(width: Table) -> None:
    """Drawn in a machine is narrower than at work, whose width is known."""
    machine = {**OWNED, **width, "width_drawn_in": "30 in"}
    assert faults(machine=machine) == {"machines/digger/width_drawn_in": "out-of-range"}


def weighed(*rows: Table, by: str = "cap_units") -> Table:
    """A task with a table by weight."""
    own = {"measured_by": by, "hours": "3", "per": "each", "by_weight": list(rows)}
    return {"tasks": [{**TASK, **own}]}


def test_rates_body_to_core_reads_a_table_by_weight() -> None:
    """Rows rise; the last may be open upward."""
    rows = ({"up_to": "10 kg", "hours": "1"}, {"hours": "2"})
    found = read(**weighed(*rows)).tasks[0].by_weight
    assert [(row.up_to_kg, row.hours_per_unit.expected) for row in found] == [
        (10.0, Fraction(1)),
        (None, Fraction(2)),
    ]


@pytest.mark.parametrize(
    ("rows", "by", "code"),
    [
        (("10 kg", "10 kg"), "cap_units", "weights-not-rising"),
        ((None, "10 kg"), "cap_units", "weights-not-rising"),
        ((None, None), "cap_units", "weights-not-rising"),
        (("10 kg",), "all_units", "by-weight-unused"),
    ],
)
def test_rates_body_refuses_a_table_by_weight_that_says_nothing(
    rows: tuple[str | None, ...], by: str, code: str
) -> None:
    """Weights rise from row to row, and belong to units of one kind."""
    table = [{"hours": "1"} if row is None else {"up_to": row, "hours": "1"} for row in rows]
    assert faults(**weighed(*table, by=by)) == {"tasks/0/by_weight": code}


def test_rates_body_to_core_turns_output_into_hours() -> None:
    """8 yd3 an hour, three quarters of it worked, are 6: a sixth of an hour each; the lowest
    output takes longest."""
    output = {"low": "4", "likely": "8", "high": "16"}
    found = read({**DIG, "output": output, "efficiency": "3/4"}).machine_tasks[0].hours_per_unit
    assert found is not None
    assert (found.low, found.likely, found.high) == (
        Fraction(1, 12),
        Fraction(1, 6),
        Fraction(1, 3),
    )


def test_rates_body_to_core_turns_a_cycle_into_hours() -> None:
    """0.1 yd3 nine tenths full every 20 s, three quarters worked, are 12.15 yd3 an hour."""
    cycle = {"load": "0.1 yd3", "fill": "0.9", "seconds": "20"}
    task = read({**DIG, "cycle": cycle, "efficiency": "0.75"}).machine_tasks[0]
    assert task.hours_per_unit is not None
    assert task.hours_per_unit.expected == 1 / Fraction(Decimal("12.15"))
    assert task.basis == ("0.1 yd3 x 0.9 full x 3600 s / 20 s x 0.75 worked = 12.15 yd3 per h")


def test_rates_body_to_core_reads_hours_and_what_takes_a_tasks_place() -> None:
    """Stated hours stand as they are."""
    task = read({**DIG, "hours": "0.25", "otherwise": "dig_by_hand"}).machine_tasks[0]
    assert task.hours_per_unit is not None
    assert (task.hours_per_unit.expected, task.otherwise) == (Fraction(1, 4), "dig_by_hand")


def test_rates_body_to_core_reads_machines() -> None:
    """Size, weight, load, operator, items, compaction; hired with its week and idle days."""
    machine = {
        "title": "Digger",
        "width": "5 ft",
        "weight": "8000 lb",
        "rated_load": "1000 lb",
        "operator": "crew",
        "hours_per_day": "7",
        "delivery": "bring",
        "pick_up": "fetch",
        "fuel": "fuel",
        "compaction": PLATE,
        "hired": {"day": "d", "week": "w", "week_days": 6, "idle_days": "1"},
    }
    found = read(DIG, machine=machine).machines["digger"]
    assert found.cost == Hired(day_item="d", week_item="w", week_days=6, idle_days=Decimal(1))
    assert (found.width_m, found.operator, found.hours_per_day) == (ft(5), "crew", Decimal(7))
    assert found.weight_kg == pytest.approx(8000 * 0.45359237)
    assert (found.delivery_item, found.pick_up_item, found.fuel_item) == ("bring", "fetch", "fuel")
    assert found.compaction is not None
    assert dict(found.compaction.layers_m) == {"granular": inch(4)}
    assert read().machines["digger"].cost == Owned(item="digger_hour")


@pytest.mark.parametrize(
    ("only_if", "code"),
    [({"haste": "much"}, "condition-unknown"), ({"ease": "much"}, "choice-unknown"), ({}, None)],
)
def test_rates_body_refuses_a_choice_that_no_condition_has(
    only_if: Table, code: str | None
) -> None:
    """A machine works only under choices that can be made."""
    ease = {"title": "Ease", "neutral": "easy", "choices": {"easy": "1", "hard": "2"}}
    dig = {**DIG, "hours": "1", "only_if": only_if or {"ease": "hard"}}
    if code is None:
        found = read(dig, conditions={"ease": ease}).machine_tasks[0].only_if
        assert found == {"ease": "hard"}
    else:
        place = f"machine_tasks/0/only_if/{next(iter(only_if))}"
        assert faults(dig, conditions={"ease": ease}) == {place: code}


@pytest.mark.parametrize(
    ("owned", "cost"),
    [
        ({"day": "digger_day"}, Owned(day_item="digger_day")),
        (
            {"item": "digger_hour", "day": "digger_day"},
            Owned(item="digger_hour", day_item="digger_day"),
        ),
    ],
)
def test_rates_body_to_core_reads_a_day_of_an_own_machine(owned: Table, cost: Owned) -> None:
    """A day stands beside the hour or in its place."""
    assert read(machine={"title": "Digger", "owned": owned}).machines["digger"].cost == cost


def test_rates_body_to_core_reads_the_rest() -> None:
    """Trucks, the way, the hand strip and the order of work."""
    found = read(
        trucks={"dump": {"title": "Dump", "volume": "5 yd3", "payload": "5 t"}},
        carrying={"included": "30 ft", "per_rise": "10", "per_step": "5 ft"},
        hand_strip={"width": "12 in"},
        order={
            "lost_day_probability": "0.15",
            "open_trench_days": "2",
            "shortest_stretch": "8 ft",
        },
    )
    assert found.trucks["dump"].payload_kg == 5000
    assert (found.carrying.included_m, found.carrying.per_rise) == (ft(30), Decimal(10))
    assert found.hand_strip is not None
    assert found.hand_strip.width_m == inch(12)
    assert found.order is not None
    assert (found.order.open_trench_days, found.order.source) == (
        Decimal(2),
        "rates of the request",
    )


@pytest.mark.parametrize(
    ("task", "place", "code"),
    [
        ({}, "machine_tasks/0/hours", "rate-missing"),
        ({"hours": "1", "output": "1", "efficiency": "1"}, "machine_tasks/0/output", "rate-twice"),
        ({"output": "1"}, "machine_tasks/0/efficiency", "efficiency-missing"),
        ({"output": "1", "efficiency": "0"}, "machine_tasks/0/efficiency", "efficiency-missing"),
        ({"hours": "1", "efficiency": "1"}, "machine_tasks/0/efficiency", "efficiency-unused"),
        ({"hours": "1", "machine": "crane"}, "machine_tasks/0/machine", "machine-unknown"),
        ({"hours": "1", "otherwise": "pray"}, "machine_tasks/0/otherwise", "task-unknown"),
        ({"hours": "1", "otherwise": "dig"}, "machine_tasks/0/otherwise", "otherwise-circular"),
        ({"hours": "1", "id": "dig_by_hand"}, "machine_tasks/0/id", "id-twice"),
        ({"hours": "1", "conditions": ["x"]}, "machine_tasks/0/conditions/0", "condition-unknown"),
        (
            {"hours": {"low": "3", "likely": "2", "high": "1"}},
            "machine_tasks/0/hours/likely",
            "range-falls",
        ),
        (
            {
                "measured_by": "wall_length",
                "per": "ft",
                "cycle": {"load": "1 yd3", "seconds": "60"},
                "efficiency": "1",
            },
            "machine_tasks/0/cycle",
            "cycle-not-volume",
        ),
    ],
)
def test_rates_body_refuses_tasks_that_cannot_be_timed(task: Table, place: str, code: str) -> None:
    """Each mistake at its place, with its code."""
    assert faults({**DIG, **task})[place] == code


def test_rates_body_refuses_tasks_that_lead_back() -> None:
    """Two tasks that take each other's place are never done."""
    back = {**DIG, "id": "ram", "hours": "1", "otherwise": "dig"}
    found = faults({**DIG, "hours": "1", "otherwise": "ram"}, back)
    assert list(found.values()) == ["otherwise-circular", "otherwise-circular"]


@pytest.mark.parametrize(
    ("machine", "place", "code"),
    [
        ({"title": "Digger"}, "machines/digger/hired", "machine-cost-unclear"),
        ({**OWNED, "owned": {}}, "machines/digger/owned/day", "machine-cost-unclear"),
        (
            {**OWNED, "owned": {"item": "digger", "day": "digger"}},
            "machines/digger/owned/day",
            "machine-cost-unclear",
        ),
        ({**OWNED, "hired": {"day": "d"}}, "machines/digger/hired", "machine-cost-unclear"),
        ({**OWNED, "operator": "nobody"}, "machines/digger/operator", "crew-unknown"),
        ({**OWNED, "hours_per_day": "25"}, "machines/digger/hours_per_day", "out-of-range"),
        (
            {"title": "D", "hired": {"day": "d", "idle_days": "366"}},
            "machines/digger/hired/idle_days",
            "out-of-range",
        ),
        (
            {**OWNED, "compaction": {**PLATE, "efficiency": "0"}},
            "machines/digger/compaction/efficiency",
            "out-of-range",
        ),
    ],
)
def test_rates_body_refuses_machines_that_cannot_be(machine: Table, place: str, code: str) -> None:
    """Owned and hired exclude each other; days and hours have their bounds."""
    assert faults(machine=machine)[place] == code


def test_rates_body_refuses_to_compact_what_is_no_volume() -> None:
    """A machine compacts volumes."""
    lines = {**DIG, "measured_by": "wall_length", "per": "ft"}
    assert faults(lines, machine={**OWNED, "compaction": PLATE}) == {
        "machine_tasks/0/hours": "rate-missing"
    }


def test_shipped_machines_are_priced() -> None:
    """Every item of the shipped machines stands in the demo list."""
    catalog = read_catalog([shipped_folder()])
    priced = catalog.price_lists["demo_2026"].core.items
    for machine in catalog.production_rates["small_crew"].core.machines.values():
        cost = machine.cost
        items = [cost.item] if isinstance(cost, Owned) else [cost.day_item, cost.week_item]
        items += [machine.delivery_item, machine.pick_up_item, machine.fuel_item]
        assert [item for item in items if item is not None and item not in priced] == []
