"""The order of work, against days worked out by hand. A crew of two works 16 h a day."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.errors import QuoteFaultsError
from service.core.job.phase import PHASES, WALL_PHASES, Phase
from service.core.job.section import CapAdhesive, FilterFabric, Pipe
from service.core.labor.hours import TimedWork
from service.core.labor.phase_work import MachineUse, OrderedWall, material_phases
from service.core.labor.sequencing.phase_span import activities_of
from service.core.labor.sequencing.phases import WorkOrder, order_work, tell_phases, trench_facts
from service.core.measure import METRIC, US
from tests.given.money import bought, crew, daily, once, quantities, rates, task
from tests.given.phases import ONE, days, hours, ordered, rules, time_of, whole_job
from tests.given.scheduled import schedule
from tests.given.walls import ft, inch, level_wall, section, system, taken_off

TWO = (OrderedWall(name="a", length_m=ft(10)), OrderedWall(name="b", length_m=ft(30)))
SHARES = (("a", 1.0), ("b", 1.0))


def test_order_work_puts_one_after_another() -> None:
    """88 h of a crew that works 16 h a day are 5.5 days; each phase begins where one ended."""
    found = whole_job()
    assert days(found) == {
        "rough_cut": (1, 1),
        "trench_and_pad": (1, 2),
        "base_course": (2, 2),
        "backfill_base": (3, 3),
        "build_and_backfill": (3, 5),
        "cap": (5, 5),
        "clean_up": (6, 6),
    }
    assert found.working_days == Decimal("5.5")
    assert all(each.critical for each in found.phases)
    assert (found.weather, found.stretches, found.assumptions) == (None, (), ())


def test_activities_of_takes_an_open_trench_as_one() -> None:
    """From trench to backfill the next stretch waits; what comes before and after stands alone."""
    assert activities_of(WALL_PHASES) == (
        ("rough_cut", ("rough_cut",)),
        ("open", ("trench_and_pad", "base_course", "backfill_base", "build_and_backfill")),
        ("cap", ("cap",)),
    )


def test_tell_phases_says_what_must_be_finished_first() -> None:
    """A phase waits for the one before it that has anything to do."""
    found = ordered(hours("take_down", "4"), hours("base_course", "4"), hours("clean_up", "1"))
    assert [(each.phase, each.after) for each in found.phases] == [
        ("take_down", ()),
        ("base_course", ("take_down",)),
        ("clean_up", ("base_course",)),
    ]
    assert found.phases[1].how == (
        "base course 4 h",
        "Crew: 4 h, within a half day already begun",
        "working day 1, after set up and clear",
    )


def test_tell_phases_sums_the_hours_of_a_phase() -> None:
    """Tasks of one phase are added, with their names."""
    found = ordered(
        hours("set_units", "10.5"),
        hours("fill_cores", "3.25"),
        phases={"set_units": "build_and_backfill", "fill_cores": "build_and_backfill"},
    )
    (built,) = found.phases
    assert built.hours == Decimal("13.75")
    assert built.how[0] == "set units 10.5 h + fill cores 3.25 h = 13.75 h"


def test_order_work_opens_no_more_trench_than_is_built_in_time() -> None:
    """From trench to backfill 64 h are 4 days: two stretches of 20 ft, 2 days each. The second
    trench is opened when the first is filled: half a day of trench on days 1 and 3."""
    found = whole_job(rules())
    (stretch,) = found.stretches
    assert (stretch.count, stretch.open_days) == (2, Fraction(2))
    assert stretch.length_m == pytest.approx(ft(20))
    assert not stretch.longer_than_asked
    assert days(found) == {
        "rough_cut": (1, 1),
        "trench_and_pad": (1, 3),
        "base_course": (2, 4),
        "backfill_base": (2, 4),
        "build_and_backfill": (2, 5),
        "cap": (5, 5),
        "clean_up": (6, 6),
    }
    assert found.working_days == Decimal("5.5")
    assert "40 ft / 2 = 20 ft open at once, for 2 days" in stretch.how[1]


def test_order_work_opens_no_stretch_shorter_than_is_worth_it() -> None:
    """Half a day at a time would be 8 stretches of 5 ft; 8 ft is the shortest, so 5 of 8 ft stay
    open for 0.8 days, and a fact says so."""
    found = whole_job(rules(open_days="0.5"))
    (stretch,) = found.stretches
    assert (stretch.count, stretch.longer_than_asked) == (5, True)
    assert stretch.open_days == Fraction(4, 5)
    assert "no stretch is shorter than 8 ft: 5" in stretch.how[1]
    fact = trench_facts(found, METRIC)["wall-1"]["trench_open_too_long"]
    assert (fact.value, fact.words) == (1.0, "Stretches of 2.4384 m stay open for 0.8 days.")


def test_order_work_opens_a_trench_whole_that_is_done_in_time() -> None:
    """16 h are a day of the two that a trench may stay open. A wall without work in its trench has
    no stretch."""
    tasks = (
        hours("trench_and_pad", "16", shares=(("a", 1.0),)),
        hours("cap", "16", shares=(("b", 1.0),)),
    )
    (stretch,) = ordered(*tasks, walls=TWO, by=rules()).stretches
    assert (stretch.wall, stretch.count, stretch.open_days) == ("a", 1, Fraction(1))
    assert not stretch.longer_than_asked


def test_tell_phases_has_a_phase_from_its_first_wall_to_its_last() -> None:
    """16 h at each of two walls: the one is built on day 1, the other on day 2."""
    found = ordered(hours("build_and_backfill", "32", shares=SHARES), walls=TWO)
    assert days(found) == {"build_and_backfill": (1, 2)}


def test_tell_phases_calls_a_phase_critical_that_is_at_one_wall() -> None:
    """The crew caps `a` in half a day, diggers edge `b` in two: only that is what the job takes.
    Stone that must be there for a base course without work delays nobody."""
    found = ordered(
        hours("cap", "8", shares=(("a", 1.0),)),
        hours("edge", "32", who="dig", shares=(("b", 1.0),)),
        phases={"cap": "cap", "edge": "cap"},
        walls=TWO,
        crews=[crew(), crew("dig")],
        lines=[bought("stone")],
        item_phases={"stone": "base_course"},
    )
    assert [(each.phase, each.critical) for each in found.phases] == [
        ("base_course", False),
        ("cap", True),
    ]
    cap = time_of(found, "cap")
    assert [(each.wall, each.critical) for each in cap.walls] == [("a", False), ("b", True)]
    assert [(each.crew, each.hours, each.days) for each in cap.crew_days] == [
        ("crew", Decimal(8), Decimal("0.5")),
        ("dig", Decimal(32), Decimal(2)),
    ]


def test_trench_facts_hold_nothing_where_the_rules_are_met() -> None:
    """Stretches within the time asked for raise nothing."""
    assert trench_facts(whole_job(rules()), US)["wall-1"]["trench_open_too_long"].value == 0


def test_tell_phases_allows_for_weather_over_all_days() -> None:
    """Six days begun (5.5 worked) at 20 % lost: 6.88 expected; P(6 in 7 days) = 0.577 and
    P(6 in 9 days) = 0.914, in 8 only 0.797."""
    weather = whole_job(rules()).weather
    assert weather is not None
    assert weather.expected_days == Decimal("6.88")
    assert (weather.median_days, weather.likely_days) == (7, 9)


def test_tell_phases_states_its_rules_as_assumptions() -> None:
    """Both rules stand among the assumptions with their source."""
    assumed = {each.field: (each.value, each.why) for each in whole_job(rules()).assumptions}
    assert assumed["/rates/order/lost_day_probability"][0] == "0.20"
    assert assumed["/rates/order/open_trench_days"][0] == "2"
    assert all(why.endswith("invented") for _, why in assumed.values())


def test_tell_phases_counts_tasks_without_a_phase_with_building() -> None:
    """A task that the rates give no phase is built with the wall, and the answer says so."""
    found = ordered(hours("carry_stone", "4"), phases={})
    assert [each.phase for each in found.phases] == ["build_and_backfill"]
    (assumed,) = found.assumptions
    assert (assumed.value, "carry_stone" in assumed.why) == ("build_and_backfill", True)


def test_tell_phases_keeps_daily_hours_apart() -> None:
    """With 2 h of travel a day 14 h of work are left: 28 h take two days, and the 4 h of travel
    belong to no phase."""
    found = ordered(
        hours("base_course", "14"),
        hours("cap", "14"),
        hours("travel", "4", each_day=True, shares=()),
        fixed=[daily("2")],
    )
    assert (found.daily_hours, found.working_days) == (Decimal(4), Decimal(2))
    assert days(found) == {"base_course": (1, 1), "cap": (2, 2)}


def test_tell_phases_gives_each_phase_the_half_days_it_adds() -> None:
    """4, 4 and 16 h are 0.5, 0.5 and 1.5 days so far: the second fits into a half day already
    begun, and the three make the 1.5 days of the crew."""
    found = ordered(hours("rough_cut", "4"), hours("base_course", "4"), hours("cap", "16"))
    assert [[part.days for part in each.crew_days] for each in found.phases] == [
        [Decimal("0.5")],
        [Decimal(0)],
        [Decimal(1)],
    ]
    assert found.phases[1].how[1] == "Crew: 4 h, within a half day already begun"


TWO = (OrderedWall(name="a", length_m=ft(10)), OrderedWall(name="b", length_m=ft(30)))


def test_order_work_builds_wall_after_wall() -> None:
    """24 h of trench fall to the walls as 8 and 16, 16 h of caps as 8 and 8: wall a is capped
    on day 1 before the crew goes on to b. What is of no wall goes by length."""
    found = ordered(
        hours("trench_and_pad", "24", shares=(("a", 1.0), ("b", 2.0))),
        hours("cap", "16", shares=(("a", 5.0), ("b", 5.0))),
        hours("grade", "16", shares=(("a", 5.0), ("b", 5.0))),
        walls=TWO,
    )
    walls = {
        each.phase: [(w.wall, w.start_day, w.finish_day) for w in each.walls]
        for each in found.phases
    }
    assert walls == {
        "trench_and_pad": [("a", 1, 1), ("b", 2, 2)],
        "cap": [("a", 1, 1), ("b", 3, 3)],
        "grade": [],
    }
    assert days(found)["grade"] == (3, 4)
    assert "in this order" in [each.value for each in found.assumptions]


def test_order_work_lets_hours_of_no_wall_ride_along_by_length() -> None:
    """16 h of no wall are 4 and 12 h on walls of 10 and 30 ft."""
    found = ordered(hours("cap", "16", shares=()), walls=TWO)
    assert [(w.wall, w.start_day) for w in time_of(found, "cap").walls] == [("a", 1), ("b", 1)]
    other = ordered(hours("cap", "64", shares=()), walls=TWO)
    assert [(w.start_day, w.finish_day) for w in time_of(other, "cap").walls] == [(1, 1), (2, 4)]


def test_order_work_backfills_a_lower_wall_before_the_upper_trench() -> None:
    """The upper wall is named first and waits all the same."""
    upper = OrderedWall(name="upper", length_m=ft(10), after=("lower",))
    lower = OrderedWall(name="lower", length_m=ft(10))
    found = ordered(
        hours("build_and_backfill", "32", shares=(("upper", 1.0), ("lower", 1.0))),
        walls=(upper, lower),
    )
    assert [(w.wall, w.start_day) for w in found.phases[0].walls] == [("lower", 1), ("upper", 2)]


def test_order_work_refuses_walls_in_a_circle() -> None:
    """Two walls that stand before each other are named."""
    walls = [
        OrderedWall(name="a", length_m=1.0, after=("b",)),
        OrderedWall(name="b", length_m=1.0, after=("a",)),
    ]
    with pytest.raises(QuoteFaultsError) as caught:
        ordered(hours("cap", "8"), walls=walls)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("walls-wait-for-each-other", ("tiers",))
    assert "'a'" in fault.message
    assert "'b'" in fault.message


def test_order_work_lets_two_crews_work_side_by_side() -> None:
    """A digging crew goes on to wall b while wall a is built; only what the end waits for is
    critical: a is dug (1 day), built (2), then b (2); digging b on day 2 is not."""
    found = ordered(
        hours("rough_cut", "32", who="dig", shares=(("a", 1.0), ("b", 1.0))),
        hours("build_and_backfill", "64", shares=(("a", 1.0), ("b", 1.0))),
        walls=TWO,
        crews=[crew(), crew("dig")],
    )
    cut, built = found.phases
    assert [(w.wall, w.start_day, w.critical) for w in cut.walls] == [
        ("a", 1, True),
        ("b", 2, False),
    ]
    assert [(w.wall, w.start_day, w.finish_day) for w in built.walls] == [("a", 2, 3), ("b", 4, 5)]
    assert found.working_days == Decimal(5)


def test_order_work_lets_no_second_crew_open_the_upper_trench_early() -> None:
    """The lower wall is built on days 1 and 2. A digging crew cuts the upper bank meanwhile, and
    waits with the upper trench until the lower wall is backfilled."""
    found = ordered(
        hours("rough_cut", "16", who="dig", shares=(("upper", 1.0),)),
        hours("trench_and_pad", "16", who="dig", shares=(("upper", 1.0),)),
        hours("build_and_backfill", "32", shares=(("lower", 1.0),)),
        walls=(
            OrderedWall(name="lower", length_m=ft(10)),
            OrderedWall(name="upper", length_m=ft(10), after=("lower",)),
        ),
        crews=[crew(), crew("dig")],
    )
    spans = [[(w.wall, w.start_day, w.finish_day) for w in each.walls] for each in found.phases]
    assert spans == [[("upper", 1, 1)], [("upper", 3, 3)], [("lower", 1, 2)]]


def machine(
    phase: Phase, count: str, *, name: str = "skid_steer", wall: str = "wall-1"
) -> MachineUse:
    """Machine hours on one wall, of six that a day has."""
    return MachineUse(
        machine=name,
        title=name,
        phase=phase,
        hours=Decimal(count),
        hours_per_day=Decimal(6),
        shares=((wall, 1.0),),
    )


def test_order_work_waits_for_the_slower_of_crew_and_machine() -> None:
    """12 machine hours at 6 a day take two days, whatever the crew does in half a day."""
    found = ordered(
        hours("rough_cut", "8"),
        hours("cap", "16"),
        machines=[machine("rough_cut", "12"), machine("cap", "3")],
    )
    assert days(found) == {"rough_cut": (1, 2), "cap": (3, 3)}
    (skid,) = found.machines
    assert (skid.hours, skid.first_day, skid.last_day) == (Decimal(15), 1, 3)
    (cut,) = time_of(found, "rough_cut").machines
    assert (cut.hours, cut.first_day, cut.last_day) == (Decimal(12), 1, 2)


def test_tell_phases_lists_what_must_be_on_site() -> None:
    """Lines stand with the phase that needs them first; what is named nowhere with building."""
    lines = (bought("cap"), bought("block"), bought("soap"))
    found = ordered(
        hours("base_course", "16"),
        hours("cap", "16"),
        lines=lines,
        item_phases={"block": "base_course", "cap": "cap"},
    )
    needed = {e.phase: (e.start_day, [line.item for line in e.materials]) for e in found.phases}
    assert needed == {
        "base_course": (1, ["block"]),
        "build_and_backfill": (1, ["soap"]),
        "cap": (2, ["cap"]),
    }


def test_material_phases_follow_where_an_item_is_first_needed() -> None:
    """Pad stone before blocks, blocks before drain, caps and glue last; an item used twice comes
    with its first use."""
    blocks = system()
    detail = section(
        core_fill_item="base_stone",
        pipe=Pipe(item="pipe", outlet_item="outlet", outlet_spacing_m=15.0, outlet_length_m=1.0),
        filter_fabric=FilterFabric(item="fabric", lap_m=0.3),
        cap_adhesive=CapAdhesive(item="glue", beads=2, yield_m=9.0),
    )
    found = material_phases(blocks, detail)
    assert found == {
        "base_stone": "trench_and_pad",
        "block": "base_course",
        "pipe": "backfill_base",
        "outlet": "backfill_base",
        "fabric": "backfill_base",
        "drain_stone": "backfill_base",
        "cap": "cap",
        "glue": "cap",
    }
    lines = taken_off(level_wall(), blocks=blocks, detail=detail).lines
    assert {line.item for line in lines} <= set(found)


@given(
    counts=st.lists(st.integers(1, 9000), min_size=3, max_size=3),
    each_day=st.integers(0, 300),
    open_days=st.integers(1, 8),
)
def test_tell_phases_adds_up_to_the_labor_of_the_quote(
    counts: list[int], each_day: int, open_days: int
) -> None:
    """Hours of the phases and daily hours are the labor hours; half days of the phases are the
    crew days as priced; the last day is one of them; stretches stay within the time asked for."""
    fixed = [
        once(str(Decimal(c) / 100), phase) for c, phase in zip(counts, PHASES[2:], strict=False)
    ]
    fixed += [daily(str(Decimal(each_day) / 100))] if each_day else []
    of = rates(task(), fixed=fixed)
    takeoff = quantities(measured={"standard_units": (("wall-1", 200.0),)})
    work = schedule(of, {}, takeoff, US)
    phases: dict[str, Phase] = {phase: phase for phase in PHASES}
    order = WorkOrder(
        walls=ONE,
        task_phases={**phases, "set_units": "build_and_backfill"},
        item_phases={},
        rules=rules(open_days=str(Decimal(open_days) / 2), shortest=inch(1)),
    )
    found = tell_phases(order_work(TimedWork(tasks=work.tasks), of, order, US), of, ())
    total = sum((each.hours for each in found.phases), found.daily_hours)
    assert total == work.labor_hours
    assert sum(part.days for each in found.phases for part in each.crew_days) == work.crew_days
    last = max(each.finish_day for each in found.phases)
    assert last - 1 < work.crew_days <= last
    assert found.working_days <= work.crew_days
    assert all(each.open_days <= Fraction(open_days, 2) for each in found.stretches)
    starts = [each.start_day for each in found.phases]
    assert starts == sorted(starts)
