"""Jobs whose machines are chosen: random rates, and what a set of machines costs, by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from hypothesis import strategies as st

from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json, shipped_request, straight

DEMO_ITEMS: Json = shipped_catalog().price_lists["demo_2026"].document["items"]
NAMES = ("ant", "bee", "cat", "dog")
WORK = (
    ("dig", "cut_volume", "rough_cut"),
    ("backfill", "backfill_volume", "build_and_backfill"),
    ("load", "haul_off_volume", "grade"),
)


@dataclass(frozen=True)
class Fleet:
    """Machines with their costs, and for each work the machines that could do it in order, with
    yards an hour, and yards an hour by hand where that is allowed."""

    costs: Mapping[str, Json]
    widths: Mapping[str, str]
    hired: frozenset[str]
    work: Mapping[str, Sequence[tuple[str, str]]]
    by_hand: Mapping[str, str]
    crew_day: str = "900"

    @property
    def complete(self) -> bool:
        """Whether somebody could do each work."""
        return all(self.work[name] or name in self.by_hand for name in self.work)

    def without(self, machine: str) -> Fleet:
        """The same fleet with one machine less."""
        work = {
            name: [way for way in ways if way[0] != machine] for name, ways in self.work.items()
        }
        costs = {name: cost for name, cost in self.costs.items() if name != machine}
        return Fleet(costs, self.widths, self.hired, work, self.by_hand, self.crew_day)


def fleet_rates(fleet: Fleet, *, chosen: bool = True) -> Json:
    """Rates of a fleet; without `chosen` a task keeps its own machine."""
    tasks: list[Json] = [
        _task("set_units", "standard_units", "each", "build_and_backfill", hours="0.09")
    ]
    machine_tasks: list[Json] = []
    for name, measured, phase in WORK:
        hand = f"{name}_by_hand" if name in fleet.by_hand else None
        ways = fleet.work[name]
        if hand:
            tasks.append(_task(hand, measured, "yd3", phase, hours=fleet.by_hand[name]))
        after = [f"{name}_{way[0]}" for way in ways[1:]] + [hand]
        for (machine, hours), otherwise in zip(ways, after, strict=False):
            row = _task(f"{name}_{machine}", measured, "yd3", phase, hours=hours, machine=machine)
            machine_tasks.append(row | ({"otherwise": otherwise} if otherwise else {}))
    choose_by = {"machines": dict(fleet.costs), "crew_days": {"crew": fleet.crew_day}}
    return {
        "crews": {"crew": CREW},
        "tasks": tasks,
        "machines": {name: _machine(fleet, name) for name in fleet.costs},
        "machine_tasks": machine_tasks,
        **({"choose_by": choose_by} if chosen else {}),
    }


CREW: Json = {
    "title": "Crew",
    "item": "crew_hour",
    "size": 2,
    "paid_hours_per_day": "8",
    "worked_share": "1",
}


def _task(name: str, measured: str, per: str, phase: str, *, hours: str, machine: str = "") -> Json:
    who = {"machine": machine} if machine else {"crew": "crew"}
    return {
        "id": name,
        "title": name,
        "measured_by": measured,
        "per": per,
        "phase": phase,
        "hours": hours,
        **who,
    }


def _machine(fleet: Fleet, name: str) -> Json:
    cost = {"hired": {"day": "a_day"}} if name in fleet.hired else {"owned": {"item": "an_hour"}}
    brought = {"delivery": "brought"} if name in fleet.hired else {}
    width = {"width": fleet.widths[name], "clearance": "0 in"} if name in fleet.widths else {}
    return {"title": name.title(), "operator": "crew", **cost, **brought, **width}


def dug_request(
    rates: Json | str, *, feet: int = 20, existing: str = "1 ft", **more: object
) -> Json:
    """A terrace 2 ft high that is dug into a slope of 6:1, with rates and demo prices."""
    wall = {
        "plan": [straight(f"{feet} ft")],
        "profile": [
            {"station": "0 ft", "top": "2 ft", "front_grade": "0 ft", "existing_grade": existing},
            {"station": "end", "top": "2 ft", "front_grade": "0 ft"},
        ],
        "existing_slope": "6:1",
        "graded_in_front": "2 ft",
    }
    items = DEMO_ITEMS | {
        "a_day": {"unit_cost": "200.00", "per": "day"},
        "an_hour": {"unit_cost": "50.00", "per": "h"},
        "brought": {"unit_cost": "80.00", "per": "each"},
    }
    inline = {"currency": "USD", "items": items}
    soils = {"retained": "sand_gravel"}
    return shipped_request(wall, rates=rates, soils=soils, **({"prices": inline} | more))


def cost_by_hand(answer: Json, fleet: Fleet) -> Decimal:
    """What the machines of an answer and the days of its crew cost, a gap held or the machine sent
    away, whichever is cheaper; from the days on which phases need it, of one wall."""
    paid = sum((Decimal(crew["paid_hours"]) for crew in answer["labor"]["crews"]), Decimal(0))
    total = paid / 16 * Decimal(fleet.crew_day)  # two people, 8 h a day
    for machine in answer["labor"]["equipment"]:
        costs = {key: Decimal(value) for key, value in fleet.costs[machine["machine"]].items()}
        hours = Decimal(machine["hours"])
        there, deliveries = _stay(needed_days(answer, machine["machine"]), costs)
        total += hours * costs["hour"] + there * costs["day"] + deliveries * costs["delivery"]
    return total


def needed_days(answer: Json, machine: str) -> list[int]:
    """Working days on which any phase needs a machine."""
    return sorted(
        {
            day
            for phase in answer["order_of_work"]["phases"]
            for use in phase["machines"]
            if use["machine"] == machine
            for day in range(use["first_day"], use["last_day"] + 1)
        }
    )


def _stay(days: Sequence[int], costs: Mapping[str, Decimal]) -> tuple[int, int]:
    """Days there and deliveries: between two days of need the cheaper of both."""
    there, deliveries = 1, 1
    for before, after in pairwise(days):
        gap = after - before - 1
        if gap * costs["day"] <= costs["delivery"]:
            there += gap + 1
        else:
            there, deliveries = there + 1, deliveries + 1
    return there, deliveries


@st.composite
def fleets(draw: st.DrawFn) -> Fleet:
    """Two to four machines of some widths and costs, and work that some of them could do."""
    names = NAMES[: draw(st.integers(2, 4))]
    figure = st.integers(0, 400).map(str)
    costs = {
        name: {"hour": draw(figure), "day": draw(figure), "delivery": draw(figure)}
        for name in names
    }
    hours = st.integers(2, 120).map(lambda n: str(Decimal(n) / 100))
    return Fleet(
        costs=costs,
        widths={name: f"{draw(st.integers(24, 72))} in" for name in names if draw(st.booleans())},
        hired=frozenset(name for name in names if draw(st.booleans())),
        work={
            name: [
                (machine, draw(hours))
                for machine in draw(st.permutations(names))[: draw(st.integers(1, len(names)))]
            ]
            for name, _, _ in WORK
        },
        by_hand={
            name: str(Decimal(draw(st.integers(20, 250))) / 100)
            for name, _, _ in WORK
            if draw(st.integers(0, 3))
        },
        crew_day=str(draw(st.integers(0, 2000))),
    )
