"""What machines could do at a job, and in which ways, worked by hand (rule 19.8)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from service.core.job.access import Access
from service.core.job.measured import Measured
from service.core.job.rates import MachineTask, Rates
from service.core.job.site_task import SiteMachine, SiteTask
from service.core.labor.choosing.duties import Duty, rate_duties, site_duties
from service.core.labor.fit import NO_LIMITS, SiteLimits
from service.core.labor.labor import task_timing
from service.core.labor.task_timing import TaskTiming
from service.core.measure import US
from service.core.shares import Shares
from service.core.three_point import one_figure
from tests.given.machine_sets import BY_HAND
from tests.given.machines import digger, machine_rates, machine_task
from tests.given.money import quantities
from tests.given.site_work import asked, hours, site_task
from tests.given.walls import ft

HALF: Shares = (("wall-1", 0.5),)
FLEET = (digger(), digger("loader"))


def timing(
    of: Rates,
    measured: Mapping[Measured, Shares],
    limits: SiteLimits = NO_LIMITS,
    follows: frozenset[str] = frozenset(),
) -> TaskTiming:
    """Timing of these rates; nothing of all that isn't measured."""
    measures = quantities(measured=measured).measured
    return task_timing(of, {}, quantities(), US, measured=measures, limits=limits, follows=follows)


def digging(*machine_tasks: MachineTask) -> Rates:
    """A digger, a loader, and people who dig by hand."""
    return machine_rates(*machine_tasks, machines=FLEET, tasks=(BY_HAND,))


def machines_of(duties: tuple[Duty, ...]) -> list[list[str | None]]:
    """The machine of each way of each duty."""
    return [[way.machine for way in duty] for duty in duties]


def test_rate_duties_are_of_what_there_is_however_little() -> None:
    """Half a cubic meter is to be cut and to be backfilled, nothing is to be hauled. Cutting by the
    loader is what comes in place of the digger, and no duty of its own."""
    of = digging(
        machine_task("dig", otherwise="dig_too"),
        machine_task("dig_too", machine="loader", otherwise="dig_by_hand"),
        machine_task("backfill", by="backfill_volume", machine="loader"),
        machine_task("haul", by="haul_off_volume", machine="loader"),
    )
    found = rate_duties(timing(of, {"cut_volume": HALF, "backfill_volume": HALF}))
    assert machines_of(tuple(found)) == [["digger", "loader", None], ["loader"]]


def test_rate_duties_end_where_there_is_nothing_to_do() -> None:
    """Without the digger a loader would backfill in its place: it is a way while there is half a
    cubic meter to backfill; of none nothing is to be done."""
    of = digging(
        machine_task(otherwise="load"), machine_task("load", by="backfill_volume", machine="loader")
    )
    some = rate_duties(timing(of, {"cut_volume": HALF, "backfill_volume": HALF}))
    assert machines_of(tuple(some)) == [["digger", "loader"]]
    none = rate_duties(timing(of, {"cut_volume": HALF}))
    assert machines_of(tuple(none)) == [["digger", None]]


def test_rate_duties_are_not_by_hand_where_a_condition_says_by_machine() -> None:
    """Access is by machine, the neutral choice: what is done only so isn't done by hand. Where the
    choice follows from the machines that come, leaving the digger out would change it, so that
    people may dig; a condition that the task doesn't name changes nothing."""
    of = digging(replace(machine_task(otherwise="dig_by_hand"), only_if={"access": "machine"}))
    cut: Mapping[Measured, Shares] = {"cut_volume": HALF}
    settled = rate_duties(timing(of, cut, follows=frozenset({"ground"})))
    assert machines_of(tuple(settled)) == [["digger"]]
    following = rate_duties(timing(of, cut, follows=frozenset({"access"})))
    assert machines_of(tuple(following)) == [["digger", None]]


def stump(machine: str, *, by_hand: bool = False) -> SiteTask:
    """A stump that takes a machine an hour, and people 4 h where they may."""
    hand = hours("4") if by_hand else None
    by = SiteMachine(machine=machine, hours_per_unit=one_figure(Decimal(1)), by_hand=hand)
    return site_task(f"stump_{machine}", by="count", unit="each", machine=by)


def test_site_duties_are_of_machines_that_come() -> None:
    """The loader, 5 ft wide, passes a gate of 6 ft, and its stump may be dug out by hand. A digger
    of 9 ft doesn't pass, the rates have no grinder, and a fence takes no machine."""
    fleet = (digger(width_ft=9.0), digger("loader"))
    of = machine_rates(machines=fleet)
    limits = SiteLimits(access=Access(narrowest_m=ft(6)))
    tasks = (
        stump("digger"),
        stump("loader", by_hand=True),
        stump("grinder"),
        site_task(labor=hours("0.1")),
    )
    entries = [asked(task, "2") for task in (*tasks, tasks[1])]
    found = site_duties(entries, timing(of, {}, limits))
    assert machines_of(tuple(found)) == [["loader", None]]
