"""Labor: hours from measured quantities and rates, half days of crews, shares of walls."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.errors import QuoteFaultsError
from service.core.job.measured import Measured
from service.core.job.rates import ProductionTask
from service.core.labor.hours import CrewTime, Labor, TaskHours
from service.core.measure import METRIC
from service.core.shares import Shares
from tests.given.money import crew, daily, once, rates, scheduled, task
from tests.given.walls import ft

UNITS_189: dict[Measured, Shares] = {"standard_units": (("wall-1", 189.0),)}


def of_task(labor: Labor, name: str = "set_units") -> TaskHours:
    """The one task of a name."""
    (found,) = (each for each in labor.tasks if each.task == name)
    return found


def hours_of(of: ProductionTask, amount: float, **conditions: str) -> Decimal:
    """Hours of one task on one wall."""
    measured = {of.measured_by: (("wall-1", amount),)}
    return of_task(scheduled(rates(of), measured, conditions), of.id).hours


def only_crew(labor: Labor) -> CrewTime:
    """The one crew."""
    (found,) = labor.crews
    return found


def days_for(hours: str, *, each_day: str = "0", size: int = 2, worked: str = "1") -> Decimal:
    """Days of a crew with 8 paid hours a day for some hours of work."""
    fixed = [once(hours), daily(each_day)] if each_day != "0" else [once(hours)]
    people = [crew(size=size, worked=worked)]
    return scheduled(rates(crews=people, fixed=fixed), {}).crew_days


def test_schedule_multiplies_quantity_and_rate() -> None:
    """189 units at 0.05 h are 9.45 h."""
    labor = scheduled(rates(task()), UNITS_189)
    found = of_task(labor)
    assert found.hours == Decimal("9.45")
    assert (found.quantity, found.dimension) == (189.0, "count")
    assert labor.labor_hours == Decimal("9.45")


@pytest.mark.parametrize(
    ("rate", "amount", "expected"),
    [
        ("0.035", 3, "0.11"),  # 0.105
        ("0.0349", 3, "0.10"),  # 0.1047
        ("0.335", 3, "1.01"),  # 1.005, which a float holds as 1.00499...
        ("0.001", 4, "0.00"),
        ("0.001", 5, "0.01"),
    ],
)
def test_schedule_rounds_task_hours_half_up(rate: str, amount: int, expected: str) -> None:
    """Hours go to 0.01 h, half up, per task."""
    assert hours_of(task(hours=rate), amount) == Decimal(expected)


def test_schedule_takes_the_quantity_without_float_noise() -> None:
    """40 ft at 0.112625 h per ft are 4.505 h, so 4.51, though 40 ft is no whole float of meters."""
    assert hours_of(task(by="wall_length", hours="0.112625", unit="ft"), ft(40)) == Decimal("4.51")


def test_schedule_measures_in_the_unit_of_the_rate() -> None:
    """2 short tons at 0.25 h per ton are 0.5 h; the answer keeps the SI quantity."""
    labor = scheduled(
        rates(task(by="delivered_mass", hours="0.25", unit="ton")),
        {"delivered_mass": (("wall-1", 4000 * 0.45359237),)},
    )
    assert of_task(labor).hours == Decimal("0.50")
    assert of_task(labor).dimension == "mass"


def test_schedule_multiplies_the_factors_of_the_conditions_chosen() -> None:
    """10 h by hand (1.5) on soft ground (1.2) are 18 h; only the factors a task names apply."""
    both = task(hours="1", conditions=("access", "ground"))
    assert hours_of(both, 10, access="by_hand", ground="soft") == Decimal("18.00")
    assert hours_of(task(hours="1", conditions=("ground",)), 10, access="by_hand") == Decimal(10)


def test_schedule_takes_the_neutral_choice_where_none_is_made() -> None:
    """Without a choice for access its neutral factor 1 holds, and the words say so."""
    labor = scheduled(rates(task(hours="1", conditions=("access",))), UNITS_189)
    assert of_task(labor).hours == Decimal(189)
    assert "(access: machine)" in of_task(labor).how[-1]


def test_schedule_leaves_out_tasks_with_nothing_to_do() -> None:
    """No corner units, or none measured: no task and no days."""
    work = rates(task("fit_corners", by="corner_units"), task("lay_outlets", by="outlets"))
    labor = scheduled(work, {"corner_units": (("wall-1", 0.0),)})
    assert (labor.tasks, labor.crews) == ((), ())
    assert (labor.labor_hours, labor.crew_days) == (Decimal(0), Decimal(0))


def test_schedule_measures_the_job_once() -> None:
    """What is measured by the job comes once and is of no wall, however many walls there are."""
    of = rates(task(), task("plan", by="job", hours="2"))
    two: dict[Measured, Shares] = {
        "standard_units": (("a", 100.0), ("b", 89.0)),
        "job": (("", 1.0),),
    }
    labor = scheduled(of, two)
    assert of_task(labor, "plan").hours == Decimal(2)
    assert of_task(labor, "plan").shares == ()
    assert [name for name, _ in only_crew(labor).shares] == ["a", "b"]


def test_schedule_adds_fixed_hours_once_per_job() -> None:
    """9.45 h of units and 3 h of setting up are 12.45 h."""
    labor = scheduled(rates(task(), fixed=[once("3")]), UNITS_189)
    assert of_task(labor, "set_up").hours == Decimal(3)
    assert labor.labor_hours == Decimal("12.45")


def test_schedule_adds_daily_hours_for_every_day_begun() -> None:
    """9.45 h and 2 h a day: 16 h a day hold them in one day; the task counts days."""
    labor = scheduled(rates(task(), fixed=[daily("2")]), UNITS_189)
    travel = of_task(labor, "travel")
    assert (travel.quantity, travel.dimension, travel.hours) == (1.0, "day", Decimal(2))
    assert only_crew(labor).hours == Decimal("11.45")


@pytest.mark.parametrize(
    ("hours", "expected"),
    [("19.92", "1"), ("19.93", "1.5"), ("9.96", "0.5"), ("9.97", "1"), ("0.01", "0.5")],
)
def test_schedule_rounds_crew_days_up_to_half_days(hours: str, expected: str) -> None:
    """3 people x 8 h x 0.83 work 19.92 h a day."""
    assert days_for(hours, size=3, worked="0.83") == Decimal(expected)


@pytest.mark.parametrize(
    ("hours", "expected"),
    [
        ("6", "0.5"),  # half a day holds 8 = 6 + 2
        ("6.01", "1"),  # half a day would need 8.01
        ("14", "1"),  # 16 = 14 + 2
        ("14.01", "1.5"),  # 24 holds 14.01 + 2 x 2
        ("20", "1.5"),  # 24 = 20 + 2 x 2
        ("20.01", "2"),  # 32 holds 20.01 + 2 x 2
        ("28", "2"),  # 32 = 28 + 2 x 2
        ("28.01", "2.5"),  # 40 holds 28.01 + 3 x 2
    ],
)
def test_schedule_charges_daily_hours_in_full_on_half_days(hours: str, expected: str) -> None:
    """A half day costs the 2 h of travel of a whole one (2 people, 16 h a day)."""
    assert days_for(hours, each_day="2") == Decimal(expected)


@given(
    hours=st.integers(1, 40_000), each_day=st.integers(1, 1500), capacity=st.integers(1600, 6000)
)
def test_schedule_takes_the_fewest_half_days(hours: int, each_day: int, capacity: int) -> None:
    """The days hold work and daily hours, and half a day less would not (hundredths of hours)."""
    worked = Decimal(capacity) / 1600
    labor = scheduled(
        rates(
            crews=[crew(worked=str(worked))],
            fixed=[once(str(Decimal(hours) / 100)), daily(str(Decimal(each_day) / 100))],
        ),
        {},
    )

    def holds(half_days: int) -> bool:
        begun = math.ceil(half_days / 2)
        return half_days * Fraction(capacity, 2) >= hours + each_day * begun

    half_days = int(labor.crew_days * 2)
    assert holds(half_days)
    assert not any(holds(fewer) for fewer in range(1, half_days))


@pytest.mark.parametrize("each_day", ["16", "17"])
def test_schedule_refuses_daily_hours_that_fill_the_day(each_day: str) -> None:
    """16 h of travel a day leave a crew of two no hour to work."""
    with pytest.raises(QuoteFaultsError) as caught:
        days_for("5", each_day=each_day)
    (fault,) = caught.value.faults
    assert (fault.code, fault.at) == ("crew-day-too-short", ("rates",))
    assert "16 h a day" in fault.message


def test_schedule_pays_days_times_hours_times_people() -> None:
    """12.45 h of a crew of 3 with 8 h a day, all worked: 1 day, 24 paid hours, 3 person-days."""
    labor = scheduled(rates(task(), crews=[crew(size=3)], fixed=[once("3")]), UNITS_189)
    found = only_crew(labor)
    paid = (found.days, found.paid_hours, found.person_days)
    assert paid == (Decimal(1), Decimal(24), Decimal(3))


def test_schedule_sums_days_over_crews() -> None:
    """Each crew is rounded on its own: 0.5 and 0.5 days are 1 crew day."""
    work = rates(
        task(), task("cap", by="cap_units", who="cap"), crews=[crew(size=3), crew("cap", size=1)]
    )
    labor = scheduled(work, {**UNITS_189, "cap_units": (("wall-1", 27.0),)})
    assert [(each.crew, each.days) for each in labor.crews] == [
        ("crew", Decimal("0.5")),
        ("cap", Decimal("0.5")),
    ]
    assert labor.crew_days == 1


def test_schedule_gives_every_fault_of_the_conditions_at_once() -> None:
    """An unknown condition and an unknown choice are named with the nearest known one."""
    with pytest.raises(QuoteFaultsError) as caught:
        scheduled(rates(task()), UNITS_189, {"acces": "by_hand", "ground": "sofft"})
    assert [(fault.code, fault.at, fault.hint) for fault in caught.value.faults] == [
        ("unknown-condition", ("conditions", "acces"), "access"),
        ("unknown-condition-choice", ("conditions", "ground"), "soft"),
    ]
    assert [fault.message for fault in caught.value.faults] == [
        "the rates have no condition 'acces'; one of access, ground",
        "the rates have no choice of condition 'ground' 'sofft'; one of firm, soft",
    ]
    assert "'acces'" in caught.value.faults[0].message


def test_schedule_shares_hours_by_measured_quantity() -> None:
    """100 and 89 units share 9.45 h as 5 and 4.45; fixed hours ride along with the others."""
    two: dict[Measured, Shares] = {"standard_units": (("b", 89.0), ("a", 100.0))}
    labor = scheduled(rates(task(), fixed=[once("3"), daily("1")]), two)
    assert of_task(labor).shares == (("a", 100.0), ("b", 89.0))
    shares = dict(only_crew(labor).shares)
    assert shares == {"a": pytest.approx(5.0), "b": pytest.approx(4.45)}


def test_schedule_of_fixed_hours_alone_is_of_no_wall() -> None:
    """Hours that nothing measures belong to no wall."""
    assert only_crew(scheduled(rates(fixed=[once("3")]), {})).shares == ()


@given(nets=st.lists(st.floats(0.01, 1e4), min_size=2, max_size=6), data=st.data())
def test_schedule_is_the_same_in_any_order_of_walls(nets: list[float], data: st.DataObject) -> None:
    """The order in which walls stand in the request changes nothing."""
    walls = [(f"wall-{number}", net) for number, net in enumerate(nets)]
    other = data.draw(st.permutations(walls))
    work = rates(task(by="wall_length", unit="ft"), fixed=[once("3"), daily("1")])
    assert scheduled(work, {"wall_length": tuple(walls)}) == scheduled(
        work, {"wall_length": tuple(other)}
    )


def test_schedule_costs_an_hour_by_wage_and_burden() -> None:
    """A wage of 28.97 with a burden of 0.4163 costs 41.030211 an hour; six places, half up."""
    found = only_crew(
        scheduled(rates(task(), crews=[crew(wage="28.97", burden="0.4163")]), UNITS_189)
    )
    assert found.hour_cost == Decimal("41.030211")
    assert found.hour_cost_how == "wage 28.97 x (1 + burden 0.4163) = 41.030211 per h"
    halves = only_crew(
        scheduled(rates(task(), crews=[crew(wage="0.01", burden="0.00005")]), UNITS_189)
    )
    assert halves.hour_cost == Decimal("0.010001")  # 0.0100005


def test_schedule_without_wage_costs_nothing_by_itself() -> None:
    """Without a wage the price list must say what an hour costs."""
    assert only_crew(scheduled(rates(task()), UNITS_189)).hour_cost is None


def test_schedule_shows_its_arithmetic() -> None:
    """An estimator can re-add the hours and the days by hand from the words."""
    work = rates(
        task(hours="0.06", conditions=("access",)),
        crews=[crew(size=3, worked="0.83")],
        fixed=[once("3"), daily("1.5")],
    )
    labor = scheduled(work, UNITS_189, {"access": "by_hand"})
    assert of_task(labor).how == (
        "measured by standard units",
        "189 each x 0.06 h per each x 1.5 (access: by_hand) = 17.01 h",
    )
    assert of_task(labor, "set_up").how == ("once per job: 3 h",)
    assert of_task(labor, "travel").how == ("2 days begun x 1.5 h a day = 3 h",)
    assert only_crew(labor).how == (
        "a day of the crew: 3 people x 8 paid h x 0.83 worked = 19.92 h",
        "tasks and once per job 20.01 h + 3 h for the days begun = 23.01 h; 1.5 days hold 29.88 h",
        "paid: 1.5 days x 8 h x 3 people = 36 h",
    )


def test_schedule_shows_the_conversion_where_the_answer_has_another_unit() -> None:
    """A rate per ft in a metric quote: the words lead from the meters shown to the feet used."""
    labor = scheduled(
        rates(task(by="wall_length", hours="0.02", unit="ft")),
        {"wall_length": (("wall-1", ft(40)),)},
        units=METRIC,
    )
    assert of_task(labor).how == (
        "measured by wall length",
        "12.192 m = 40 ft",
        "40 ft x 0.02 h per ft = 0.8 h",
    )
