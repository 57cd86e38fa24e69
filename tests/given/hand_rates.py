"""Hours, costs and choice of a job of the small crew by hand, from its quantities.

The figures are written down here from the shipped rates and the demo's prices, not read from them.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from tests.given.hand_days import Phases, work_page
from tests.given.hand_page import Figure, cost, hours, machine_hours, rolled_up

# Quantity of a task, and the factor of its conditions or its way where that isn't 1.
Quantities = Mapping[str, Figure | tuple[Figure, str]]
D = Decimal

# Hours for one ton, yard, foot, square foot or piece. Of site work done by machine and by people
# the people's hours are `2`.
HOURS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "take_down": {
        "set_up": ("3",),
        "take_down_timber_wall": ("0.006", "0.01", "0.018"),
        "take_down_timber_wall 2": ("0.05", "0.08", "0.14"),
        "remove_hedge": ("0.03", "0.05", "0.09"),
        "remove_hedge 2": ("0.08", "0.14", "0.25"),
        "remove_hedge_by_hand": ("0.3", "0.5", "0.9"),
        "sawcut": ("0.03", "0.05", "0.09"),
    },
    "rough_cut": {
        "set_out": ("0.02",),
        "strip_sod": ("0.003", "0.005", "0.009"),
        "dig": (),
        "dig_narrow": (),
        "dig_by_hand": ("1.16", "1.34", "1.66"),
        "load_soil": (),
        "load_soil_narrow": (),
        "load_by_hand": ("0.5", "0.7", "1.2"),
        "carry_soil": ("0.04", "0.06", "0.08"),
        "carry_soil_narrow": ("0.1", "0.14", "0.2"),
        "carry_soil_by_hand": ("0.4", "0.5", "0.9"),
    },
    "trench_and_pad": {
        "place_pad": ("1.02", "1.28", "2.1"),
        "step_base": ("0.5", "0.7", "1.2"),
        "compact_pad": ("0.08", "0.12", "0.2"),
    },
    "base_course": {"level_base_course": ("0.08", "0.11", "0.2")},
    "backfill_base": {
        "lay_pipe": ("0.02",),
        "lay_outlets": ("0.5",),
        "hang_fabric": ("0.004",),
        "drain_outlet_run": ("0.12", "0.2", "0.35"),
        "drain_outlet_end": ("0.3", "0.5", "0.9"),
    },
    "build_and_backfill": {
        "move_material": ("0.12", "0.16", "0.24"),
        "drive_material": ("0.06", "0.08", "0.12"),
        "drive_material_on": ("0.03", "0.045", "0.06"),
        "drive_material_narrow": ("0.11", "0.15", "0.22"),
        "drive_material_on_narrow": ("0.07", "0.1", "0.15"),
        "wheel_material": ("0.06", "0.08", "0.12"),
        "carry_material": ("0.25", "0.3", "0.65"),
        "break_pallets": ("0.006", "0.01", "0.016"),
        "set_light_units": ("0.05", "0.065", "0.1"),  # 51 lb: up to 60 lb
        "set_units": ("0.07", "0.095", "0.15"),  # 94 lb: up to 100 lb
        "set_corners": ("0.14", "0.19", "0.3"),
        "cut_units": ("0.05", "0.08", "0.13"),
        "place_drain_stone": ("0.65", "0.85", "1.35"),
        "fill_cores": ("0.9", "1.1", "1.9"),
        "backfill": (),
        "backfill_narrow": (),
        "backfill_by_hand": ("0.5", "0.6", "1"),
        "compact_strip": ("0.2", "0.3", "0.4"),
        "compact_backfill": (),
        "ram_backfill": (),
    },
    "cap": {"set_caps": ("0.08", "0.115", "0.18")},
    "grade": {"place_fill": (), "place_fill_by_hand": ("0.5", "0.6", "1"), "compact_fill": ()},
    "topsoil_and_sod": {
        "spread_topsoil": ("0.133",),
        "spread_topsoil 2": ("0.2", "0.3", "0.5"),
        "lay_sod": ("0.004", "0.006", "0.01"),
        "seed_and_blanket": ("0.002", "0.003", "0.006"),
    },
    "clean_up": {"final_clean_up": ("3",)},
}
# What a machine moves in 60 minutes, three quarters of which it works.
OUTPUT: Mapping[str, tuple[str, ...]] = {
    "dig": ("6", "10", "14"),
    "dig_narrow": ("3", "4.5", "6"),
    "load_soil": ("16.2",),  # 0.45 yd3 x 0.9 in 90 s
    "load_soil_narrow": ("8.1",),  # 0.15 yd3 x 0.9 in 60 s
    "backfill": ("6", "10", "14"),
    "backfill_narrow": ("3", "5", "7"),
    "place_fill": ("8", "12", "16"),
    # a plate: 21 in x 70 ft x 60 x 6 in / 4 passes = 918.75 ft3
    "compact_backfill": ("3675/108",),
    "compact_fill": ("3675/108",),
    # a rammer: 11 in x 40 ft x 60 x 4 in / 4 passes = 183.33 ft3
    "ram_backfill": ("1100/162",),
}
SKID_STEER = (
    "take_down_timber_wall",
    "load_soil",
    "carry_soil",
    "drive_material",
    "drive_material_on",
    "backfill",
    "place_fill",
    "spread_topsoil",
)
STAND_ON_LOADER = (
    "load_soil_narrow",
    "carry_soil_narrow",
    "drive_material_narrow",
    "drive_material_on_narrow",
    "backfill_narrow",
)
DRIVEN: Mapping[str, tuple[str, ...]] = {
    "mini_excavator": ("remove_hedge", "dig"),
    "skid_steer": SKID_STEER,
    "narrow_excavator": ("dig_narrow",),
    "stand_on_loader": STAND_ON_LOADER,
    "plate": ("compact_pad", "compact_backfill", "compact_fill"),
    "rammer": ("ram_backfill",),
    "cut_off_saw": ("cut_units",),
}
# Cost lines of a machine: by its hour, by its day, each time that it comes.
MACHINE_PRICES: Mapping[str, tuple[dict[str, str], dict[str, str], dict[str, str]]] = {
    "mini_excavator": (
        {"fuel_mini_excavator": "4.20"},
        {"mini_excavator_day": "285.00"},
        {"machine_delivery": "95.00", "machine_pick_up": "95.00"},
    ),
    "skid_steer": (
        {"skid_steer_hour": "62.00", "fuel_skid_steer": "9.50"},
        {},
        {"skid_steer_bring": "60.00"},
    ),
    "narrow_excavator": (
        {"fuel_small_machine": "2.20"},
        {"narrow_excavator_day": "195.00"},
        {"machine_delivery": "95.00", "machine_pick_up": "95.00"},
    ),
    "stand_on_loader": (
        {"fuel_small_machine": "2.20"},
        {"stand_on_loader_day": "225.00"},
        {"machine_delivery": "95.00", "machine_pick_up": "95.00"},
    ),
    "plate": ({"plate_hour": "9.00"}, {}, {}),
    "rammer": ({"rammer_hour": "11.00"}, {}, {}),
    "cut_off_saw": ({"cut_off_saw_hour": "12.00"}, {"cut_off_saw_day": "9.00"}, {}),
}
# What a week of 5 days costs that takes the place of days.
WEEKS: Mapping[str, tuple[str, str]] = {
    "mini_excavator_day": ("mini_excavator_week", "980.00"),
}


def work_of(quantities: Quantities, *, stretches: int = 1) -> dict[str, Figure]:
    """Hours and days of people and machines."""
    phases = phases_of(quantities)
    return work_page(phases, driven_in(phases), stretches=stretches)


def instead(quantities: Quantities, **done_by: str) -> Quantities:
    """The quantities with tasks done by others: `dig="dig_by_hand"`."""
    return {done_by.get(task, task): of for task, of in quantities.items()}


def phases_of(quantities: Quantities) -> Phases:
    """Hours of each task of a job, by phase; set-up and final clean-up come once."""
    asked = {"set_up": 1, "final_clean_up": 1, **quantities}
    return {
        phase: {
            task.replace("light_", ""): _hours(task, asked[task]) for task in tasks if task in asked
        }
        for phase, tasks in HOURS.items()
        if tasks.keys() & asked.keys()
    }


def driven_in(phases: Phases) -> dict[str, tuple[str, ...]]:
    """The machines of a job, each with the tasks of the job that it does."""
    worked = {task for each in phases.values() for task in each}
    found = {
        machine: tuple(task for task in tasks if task in worked)
        for machine, tasks in DRIVEN.items()
    }
    return {machine: tasks for machine, tasks in found.items() if tasks}


def money_page(
    materials: Mapping[str, Decimal], others: Mapping[str, Decimal], work: Mapping[str, Figure]
) -> dict[str, Figure]:
    """Cost of each line and the roll-up: taxed materials, what else is bought, crew and machines.

    A person's hour is 28.00 x 1.42 = 39.76.
    """
    rest = {**others, "crew_hour": cost(work["paid crew"], "39.76"), **_of_machines(work)}
    return rolled_up({**materials, **rest}, tuple(rest))


def machines_of(work: Mapping[str, Figure]) -> list[str]:
    """The machines that a page has hours of, in the order of the rates."""
    return [machine for machine in MACHINE_PRICES if f"machine hours {machine}" in work]


def set_cost(work: Mapping[str, Figure]) -> Decimal:
    """What a set of machines costs by `choose_by`: 955 a day of the crew, and its machines at the
    demo's prices, fuel included."""
    return D(str(work["days crew"])) * 955 + _unrounded(work)


def _hours(task: str, asked: Figure | tuple[Figure, str]) -> Decimal:
    quantity, factor = asked if isinstance(asked, tuple) else (asked, "1")
    if task in OUTPUT:
        return machine_hours(quantity, *OUTPUT[task], factor=factor)
    (rate,) = (tasks[task] for tasks in HOURS.values() if task in tasks)
    return hours(quantity, *rate, factor=factor)


def _of_machines(work: Mapping[str, Figure]) -> dict[str, Decimal]:
    found: dict[str, Decimal] = {}
    for machine in machines_of(work):
        by_hour, by_day, once = MACHINE_PRICES[machine]
        worked, days = work[f"machine hours {machine}"], work[f"machine days {machine}"]
        found |= {item: cost(worked, price) for item, price in by_hour.items()}
        for item, price in by_day.items():
            found |= _hire(item, int(days), price)
        found |= {item: D(price) for item, price in once.items()}
    return found


def _hire(item: str, days: int, price: str) -> dict[str, Decimal]:
    """The cheapest mix of weeks and days."""
    if item not in WEEKS:
        return {item: cost(days, price)}
    week, each = WEEKS[item]
    mixes = (
        {week: cost(weeks, each), item: cost(max(0, days - 5 * weeks), price)}
        for weeks in range(days // 5 + 2)
    )
    cheapest = min(mixes, key=lambda mix: sum(mix.values()))
    return {line: amount for line, amount in cheapest.items() if amount}


def _unrounded(work: Mapping[str, Figure]) -> Decimal:
    whole = D(0)
    for machine in machines_of(work):
        by_hour, by_day, once = MACHINE_PRICES[machine]
        worked = D(str(work[f"machine hours {machine}"]))
        days = D(str(work[f"machine days {machine}"]))
        whole += worked * sum(map(D, by_hour.values()))
        whole += days * sum(map(D, by_day.values())) + sum(map(D, once.values()))
    return whole
