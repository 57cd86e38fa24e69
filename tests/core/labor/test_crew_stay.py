"""Paid days are the days of the order of work (rule 19.2), worked by hand. A crew of two works 16 h
a day; a machine six."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.job.phase import Phase
from service.core.job.rates import day_of
from service.core.labor.crew_day import half_days_until
from service.core.labor.crew_stay import Presence, stay_of
from service.core.labor.phase_work import MachineUse, OrderedWall
from service.core.labor.sequencing.phases import Phases
from tests.given.money import crew, daily
from tests.given.phases import hours, ordered
from tests.given.walls import ft

TWO = (OrderedWall(name="a", length_m=ft(10)), OrderedWall(name="b", length_m=ft(30)))


def machine(phase: Phase, count: str) -> MachineUse:
    """A skid steer that works six hours a day."""
    return MachineUse(
        machine="skid_steer",
        title="Skid steer",
        phase=phase,
        hours=Decimal(count),
        hours_per_day=Decimal(6),
        shares=(("wall-1", 1.0),),
    )


def crews(found: Phases) -> dict[str, tuple[Decimal, Decimal]]:
    """Days and paid hours of each crew."""
    return {each.crew: (each.days, each.paid_hours) for each in found.labor.crews}


def phase_days(found: Phases) -> list[Decimal]:
    """Half days of the one crew, phase by phase."""
    return [part.days for each in found.phases for part in each.crew_days]


def test_order_work_pays_a_crew_that_waits_for_a_machine() -> None:
    """8 h of digging beside a machine of 12 h: two days; 16 h of caps a third. The crew's own
    24 h would be a day and a half; it is paid for three days of two people, 48 h."""
    found = ordered(
        hours("rough_cut", "8"), hours("cap", "16"), machines=[machine("rough_cut", "12")]
    )
    assert found.working_days == Decimal(3)
    assert crews(found) == {"crew": (Decimal(3), Decimal(48))}
    assert found.labor.crew_days == Decimal(3)
    (time,) = found.labor.crews
    assert time.how[2] == "from its first work to its last in the order of work: 3 days"
    assert phase_days(found) == [Decimal(2), Decimal(1)]


def test_order_work_travels_on_every_day_of_the_order() -> None:
    """With 2 h of travel a day 14 h are left. 7 h beside 12 machine hours take two days, 3.5 h of
    caps a quarter of a third: 3.5 + 2 = 5.5 h are within half of 16 h. 2.5 days, three times
    travel: 6 h, and 7 + 3.5 + 6 = 16.5 h of work."""
    found = ordered(
        hours("rough_cut", "7"),
        hours("cap", "3.5"),
        machines=[machine("rough_cut", "12")],
        fixed=[daily("2")],
    )
    assert found.working_days == Decimal("2.5")
    assert crews(found) == {"crew": (Decimal("2.5"), Decimal(40))}
    assert (found.daily_hours, found.labor.labor_hours) == (Decimal(6), Decimal("16.5"))


def test_order_work_ends_with_the_travel_of_the_last_day() -> None:
    """6.5 h and 2 h of travel are 8.5 h, more than the 8 h of half a day: a whole day, of the crew
    and of the order, though 6.5 of the 14 h left on a day are less than half."""
    found = ordered(hours("cap", "6.5"), fixed=[daily("2")])
    assert found.working_days == Decimal(1)
    assert crews(found) == {"crew": (Decimal(1), Decimal(16))}
    assert ordered(hours("cap", "6"), fixed=[daily("2")]).working_days == Decimal("0.5")


def test_order_work_gives_each_crew_its_own_days() -> None:
    """A digging crew is there on days 1 and 2, the building crew on days 2 to 5: 2 and 4 days,
    six together, and the order takes five."""
    found = ordered(
        hours("rough_cut", "32", who="dig", shares=(("a", 1.0), ("b", 1.0))),
        hours("build_and_backfill", "64", shares=(("a", 1.0), ("b", 1.0))),
        walls=TWO,
        crews=[crew(), crew("dig")],
    )
    assert crews(found) == {"crew": (Decimal(4), Decimal(64)), "dig": (Decimal(2), Decimal(32))}
    assert (found.labor.crew_days, found.working_days) == (Decimal(6), Decimal(5))


@pytest.mark.parametrize(
    ("travel", "start", "finish", "days", "begun"),
    [
        ("0", "1.6", "2.2", "1", 2),  # from 1.5 to 2.5
        ("2", "1.6", "2.2", "1", 2),  # 0.4 x 14 + 2 = 7.6 h of 8, and 0.2 x 14 + 2 = 4.8 h of 8
        ("2", "1.5", "2.2", "1.5", 2),  # 0.5 x 14 + 2 = 9 h: the whole of day 2
        ("2", "0", "3", "3", 3),
        ("2", "0.5", "0.9", "1", 1),  # with travel behind it from 7 h on, before it to 14.6 h
        ("2", "0.6", "0.8", "0.5", 1),  # from 8.4 h on, to 11.2 + 2 = 13.2 h of 16
    ],
)
def test_stay_of_counts_half_days_from_first_to_last_work(
    travel: str, start: str, finish: str, days: str, begun: int
) -> None:
    """Half days in which something is done, with the travel of each day inside them."""
    fixed = [daily(travel)] if travel != "0" else []
    present = Presence(start=Fraction(Decimal(start)), finish=Fraction(Decimal(finish)), people=2)
    found = stay_of(crew(), day_of(crew(), fixed), [present], "paid")
    assert (found.days, found.begun) == (Decimal(days), begun)


@given(st.integers(1, 4000), st.integers(1, 4000), st.integers(0, 6), st.integers(1, 40))
def test_order_work_pays_the_days_of_the_order(
    cut: int, built: int, travel: int, machine_hours: int
) -> None:
    """Of one crew the paid days are those of the order, and its phases make them up."""
    found = ordered(
        hours("rough_cut", str(Decimal(cut) / 100)),
        hours("cap", str(Decimal(built) / 100)),
        machines=[machine("rough_cut", str(machine_hours))],
        fixed=[daily(str(travel))] if travel else [],
    )
    assert found.labor.crew_days == found.working_days == sum(phase_days(found))


def test_half_days_until_is_never_less_than_the_days_of_the_order() -> None:
    """On whole days nothing is added; half a day of a crew without travel is half a day."""
    assert half_days_until(day_of(crew(), ()), Fraction(3)) == Decimal(3)
    assert half_days_until(day_of(crew(), ()), Fraction(7, 2)) == Decimal("3.5")


def test_order_work_lets_a_crew_go_that_only_waits_for_another_crew() -> None:
    """Of two crews in the last phase one has 16 h, a day, the other 48 h, three: it goes home when
    its own work is done, and the order takes three days."""
    found = ordered(
        hours("cap", "16"),
        hours("edge", "48", who="dig"),
        phases={"cap": "cap", "edge": "cap"},
        crews=[crew(), crew("dig")],
    )
    assert crews(found) == {"crew": (Decimal(1), Decimal(16)), "dig": (Decimal(3), Decimal(48))}
    assert found.working_days == Decimal(3)
