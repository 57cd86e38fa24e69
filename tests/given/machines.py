"""Small builders for the tests of machines: one machine, its tasks, the place, equipment."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from service.core.job.machine import Compaction, Hired, Machine, Owned
from service.core.job.measured import Measured
from service.core.job.rates import MachineTask, ProductionTask, Rates
from service.core.labor.fit import NO_LIMITS, SiteLimits
from service.core.labor.hours import Labor, MachineTime
from service.core.measure import UNITS, US
from service.core.shares import Shares
from service.core.three_point import ThreePoint, one_figure
from tests.given.catalogs import shipped_catalog
from tests.given.money import ONE_WALL, quantities, rates
from tests.given.quote_requests import Json
from tests.given.scheduled import schedule
from tests.given.walls import ft, inch

YD3 = 0.764554857984
LB = 0.45359237
CUT: Mapping[Measured, Shares] = {"cut_volume": (("wall-1", 12 * YD3),)}
PLATE = Compaction(
    layers_m={"granular": inch(4), "silt": inch(3)},
    width_m=ft(1.75),
    travel_m_per_minute=ft(70.4),
    passes=4,
    efficiency=Fraction(3, 4),
)


def three(low: str, likely: str, high: str) -> ThreePoint:
    """A figure with its range."""
    return ThreePoint(
        low=Fraction(Decimal(low)), likely=Fraction(Decimal(likely)), high=Fraction(Decimal(high))
    )


def digger(
    name: str = "digger",
    *,
    width_ft: float | None = 5.0,
    hired: Hired | None = None,
    operator: str | None = "crew",
    compaction: Compaction | None = None,
) -> Machine:
    """A machine 5 ft wide that weighs 8,000 lb and lifts 100 lb; one's own unless hired."""
    return Machine(
        id=name,
        title=name.title(),
        cost=hired or Owned(item=f"{name}_hour"),
        width_m=None if width_ft is None else ft(width_ft),
        weight_kg=8000 * LB,
        rated_load_kg=100 * LB,
        operator=operator,
        compaction=compaction,
    )


def machine_task(
    name: str = "dig",
    *,
    by: Measured = "cut_volume",
    hours: ThreePoint | None = None,
    compacts: bool = False,
    machine: str = "digger",
    unit: str = "yd3",
    otherwise: str | None = None,
) -> MachineTask:
    """Digging at 0.25 machine-hours a cubic yard unless something else is asked for."""
    stated = hours or one_figure(Decimal("0.25"))
    return MachineTask(
        id=name,
        title=name,
        machine=machine,
        measured_by=by,
        hours_per_unit=None if compacts else stated,
        unit=UNITS[unit],
        otherwise=otherwise,
    )


def machine_rates(
    *machine_tasks: MachineTask,
    machines: Sequence[Machine] | None = None,
    tasks: Sequence[ProductionTask] = (),
) -> Rates:
    """Rates of these machine tasks, with the digger unless other machines are given."""
    fleet = (digger(),) if machines is None else machines
    return replace(
        rates(*tasks),
        machines={machine.id: machine for machine in fleet},
        machine_tasks=machine_tasks,
    )


def worked(
    of: Rates, measured: Mapping[Measured, Shares] = CUT, limits: SiteLimits = NO_LIMITS
) -> Labor:
    """Labor of what the earthwork comes to."""
    return schedule(of, {}, quantities(), US, measured=measured, limits=limits)


def equipment(
    hours: str, days: int, machine: Machine, *, loads: str = "0", shares: Shares = ONE_WALL
) -> MachineTime:
    """Time of a machine."""
    return MachineTime(
        machine=machine,
        hours=Decimal(hours),
        hours_low=Decimal(hours),
        hours_high=Decimal(hours),
        days=days,
        loads=Decimal(loads),
        shares=shares,
        how=(),
    )


def rates_without_choice() -> Json:
    """The shipped rates without `choose_by`: each task keeps its own machine."""
    held = shipped_catalog().production_rates["small_crew"].document
    header = ("id", "version", "title", "note", "source", "also", "choose_by")
    return {key: value for key, value in held.items() if key not in header}
