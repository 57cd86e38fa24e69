"""Units by the height of their course: run by run, and what their factor does to hours."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from service.core.job.factor import ByHeight, HeightBand
from service.core.job.measured import Measured
from service.core.job.rates import Condition, ProductionTask
from service.core.job.spec import WallSpec
from service.core.labor.condition import condition_factors
from service.core.labor.fit import SiteLimits
from service.core.labor.hours import TaskHours
from service.core.labor.lifted import ByChoice, Lifted, lift_courses
from service.core.measure import US
from service.core.shares import Shares
from tests.given.money import quantities, rates, task
from tests.given.scheduled import schedule
from tests.given.walls import entry, ft, inch, laid, level_wall, straight, wall

BY_HEIGHT = ByHeight(
    bands=(
        HeightBand(up_to_m=ft(4), choice="low"),
        HeightBand(up_to_m=ft(6), choice="middle"),
        HeightBand(up_to_m=None, choice="high"),
    )
)
LIFT = Condition(
    id="lift",
    title="Lift",
    neutral="low",
    choices={"low": Decimal(1), "middle": Decimal("1.5"), "high": Decimal(2)},
    derivation=BY_HEIGHT,
)


def lifted(*specs: WallSpec) -> Lifted:
    """The units of walls of 18 x 8 x 12 in units with a cap of 4 in."""
    return lift_courses("lift", BY_HEIGHT, [laid(spec) for spec in specs])


def counts(found: Lifted, measured: Measured = "standard_units") -> dict[str, float]:
    """How many of a kind each band has, over all walls."""
    return {choice: sum(n for _, n in shares) for choice, shares in found.counts[measured]}


def hours(found: Lifted, of: ProductionTask, measured: dict[Measured, Shares]) -> TaskHours:
    """The one task of rates that know the height of courses."""
    known = rates(of)
    known = replace(known, conditions={**known.conditions, "lift": LIFT})
    limits = SiteLimits(lifted=found)
    (timed,) = schedule(known, {}, quantities(measured=measured), US, limits=limits).tasks
    return timed


# 100 units of `a` and 60 of `b` in the low band, 40 of `b` in the middle one.
TWO_WALLS = Lifted(
    condition="lift",
    counts={
        "standard_units": (("low", (("a", 100.0), ("b", 60.0))), ("middle", (("b", 40.0),))),
        "corner_units": (),
        "base_course_units": (("low", (("a", 1.0), ("b", 1.0))),),
        "cap_units": (("middle", (("b", 20.0),)),),
    },
)


def test_lift_courses_gives_each_course_its_own_band() -> None:
    """5 ft 8 in exposed: the top joint lies 64 in up and undersides at 56, 48, 40 ... in.

    48 in is 4 ft and in the lower band, so 27 units (480 in of 18) lie in the middle one; 6 in of
    embedment put the base at -8 in: nine courses, eight of them in the low band.
    """
    assert counts(lifted(level_wall(exposed=ft(5, 8)))) == {"low": 8 * 27, "middle": 27}


def test_lift_courses_includes_6_ft_in_the_middle_band() -> None:
    """7 ft exposed has its top course at 84 - 4 - 8 = 72 in, 6 ft; an inch more is over it."""
    assert "high" not in counts(lifted(level_wall(exposed=ft(7))))
    assert counts(lifted(level_wall(exposed=ft(7, 1))))["high"] == 27


def test_lift_courses_takes_each_run_of_a_course_by_itself() -> None:
    """A course in two runs, one over lower ground: tops 6, 3 and 6 ft, front grade 0, 0 and 4 ft.

    The joints lie at 68, 60, 52, 44 ... in; in the middle the top joint is 36. The courses at 60
    and 52 in are there twice: over 0 ft they lie over 4 ft, over 4 ft they don't (12 and 4 in).
    20 ft are 14 units.
    """
    spec = wall(
        (straight(ft(60)),),
        (
            entry(0.0, ft(6)),
            entry(ft(20), ft(6)),
            entry(ft(20), ft(3)),
            entry(ft(40), ft(3)),
            entry(ft(40), ft(6), ft(4)),
            entry("end", ft(6), ft(4)),
        ),
    )
    assert counts(lifted(spec))["middle"] == 2 * 14


def test_lift_courses_takes_the_mean_front_grade_along_a_run() -> None:
    """Front grade at 0 along 30 ft and at 2 ft along the last 10 is 6 in on the mean.

    The top is level at 6 ft: the course at 60 in lies 54 in over it and the one at 52 in 46, so
    that only the first is over 4 ft; 40 ft are 27 units.
    """
    spec = wall(
        (straight(ft(40)),),
        (
            entry(0.0, ft(6)),
            entry(ft(30), ft(6)),
            entry(ft(30), ft(6), ft(2)),
            entry("end", ft(6), ft(2)),
        ),
    )
    assert counts(lifted(spec))["middle"] == 27


def test_lift_courses_is_unchanged_by_more_entries_on_the_same_line() -> None:
    """Front grade that falls 2 ft evenly is the same in one part or in three: 12 in on the mean.

    The top joint lies at 80 in: the courses at 72 and 64 in lie 60 and 52 in over it, that at 56
    in 44: 2 x 27 units are over 4 ft.
    """
    ends = entry(0.0, ft(7), ft(2)), entry("end", ft(7), 0.0)
    between = (entry(ft(10), ft(7), ft(1.5)), entry(ft(30), ft(7), ft(0.5)))
    whole = wall((straight(ft(40)),), ends)
    parts = wall((straight(ft(40)),), (ends[0], *between, ends[1]))
    assert counts(lifted(whole)) == counts(lifted(parts))
    assert counts(lifted(whole))["middle"] == 2 * 27


def test_lift_courses_takes_the_middle_of_a_sloping_front_grade() -> None:
    """Front grade falls from 6 in to 0: 3 in on the mean. The top course lies at 52 in, 49 over
    it."""
    spec = wall((straight(ft(40)),), (entry(0.0, ft(5, 4), inch(6)), entry("end", ft(5, 4))))
    assert counts(lifted(spec))["middle"] == 27


def test_lift_courses_lays_caps_on_the_top_joint() -> None:
    """5 ft exposed: the top course lies at 48 in, 4 ft, its cap at 56 in; the base course stands
    in the trench."""
    found = lifted(level_wall(exposed=ft(5)))
    assert list(counts(found)) == ["low"]
    assert counts(found, "cap_units") == {"middle": 27}
    assert list(counts(found, "base_course_units")) == ["low"]


def test_lift_courses_is_over_the_front_grade_wherever_that_lies() -> None:
    """The same wall with its front grade at 2 ft: its top course still lies 4 ft over it, its cap
    4 ft 8 in."""
    found = lifted(level_wall(exposed=ft(5), front=ft(2)))
    assert list(counts(found)) == ["low"]
    assert counts(found, "cap_units") == {"middle": 27}


def test_lift_courses_weighs_front_grade_by_length() -> None:
    """Front grade at 0 along 20 ft and at 3 ft along 20 more is 18 in on the mean. The top joint
    lies at 72 in, its course at 64: 46 in over it, within 4 ft."""
    spec = wall(
        (straight(ft(40)),),
        (
            entry(0.0, ft(6, 4)),
            entry(ft(20), ft(6, 4)),
            entry(ft(20), ft(6, 4), ft(3)),
            entry("end", ft(6, 4), ft(3)),
        ),
    )
    assert list(counts(lifted(spec))) == ["low"]


def test_lift_courses_lays_each_run_of_caps_on_its_own_joint() -> None:
    """Tops of 6 and 3 ft: caps at 68 in along the first 20 ft, at 32 in along the others."""
    spec = wall(
        (straight(ft(40)),),
        (
            entry(0.0, ft(6)),
            entry(ft(20), ft(6)),
            entry(ft(20), ft(3)),
            entry("end", ft(3)),
        ),
    )
    high, low = laid(spec).caps
    assert counts(lifted(spec), "cap_units") == {"middle": high.units, "low": low.units}


def test_lift_courses_has_each_base_course_in_its_trench() -> None:
    """It stands below front grade, in a band of its own up to 0; one for each wall."""
    rule = ByHeight(
        bands=(HeightBand(up_to_m=0.0, choice="low"), HeightBand(up_to_m=None, choice="high"))
    )
    found = lift_courses("lift", rule, [laid(level_wall()), laid(level_wall(name="b"))])
    assert found.counts["base_course_units"] == (("low", (("b", 1.0), ("wall-1", 1.0))),)


def test_condition_factors_take_the_one_band_that_all_units_are_in() -> None:
    """All units of courses in the middle band: its factor is theirs, and no mean is told."""
    known = replace(rates(), conditions={"lift": LIFT})
    of = replace(TWO_WALLS, counts={**TWO_WALLS.counts, "standard_units": MIDDLE})
    found = condition_factors(known, {}, of)["lift"]
    assert (found.factor, found.words) == (Fraction(3, 2), "lift: middle")


MIDDLE: ByChoice = (("middle", (("a", 10.0),)),)


def test_schedule_adds_up_the_bands_of_a_task() -> None:
    """(160 + 40 x 1.5) x 0.05 h = 11 h; wall `b` has (60 + 60) of 220."""
    taken: dict[Measured, Shares] = {"standard_units": (("a", 100.0), ("b", 100.0))}
    found = hours(TWO_WALLS, task(conditions=("lift",)), taken)
    assert (found.hours, found.quantity) == (Decimal(11), 200.0)
    assert found.shares == (("a", 100.0), ("b", 120.0))
    assert found.how[-1] == (
        "(160 each x 1 (lift: low) + 40 each x 1.5 (lift: middle)) x 0.05 h per each = 11 h"
    )


def test_schedule_multiplies_bands_with_other_conditions() -> None:
    """11 h on soft ground are 11 x 1.2 = 13.2 h."""
    of = task(conditions=("lift", "ground"))
    taken: dict[Measured, Shares] = {"standard_units": (("a", 200.0),)}
    known = replace(rates(of), conditions={**rates().conditions, "lift": LIFT})
    limits = SiteLimits(lifted=TWO_WALLS)
    labor = schedule(known, {"ground": "soft"}, quantities(measured=taken), US, limits=limits)
    assert labor.labor_hours == Decimal("13.20")


@pytest.mark.parametrize(
    ("measured", "amount", "expected"),
    [
        ("cap_units", 20.0, "1.50"),  # 20 x 0.05 h x 1.5, all in the middle band
        ("base_course_units", 20.0, "1.00"),  # in the trench
        ("walls", 20.0, "1.10"),  # 20 x 0.05 h x 220 / 200, the mean of all units of courses
    ],
)
def test_schedule_lifts_what_is_counted_otherwise_by_its_own_height_or_the_mean(
    measured: Measured, amount: float, expected: str
) -> None:
    """Caps and base course have heights of their own; work that counts no units of courses goes
    by the mean over them."""
    of = task(by=measured, conditions=("lift",))
    assert hours(TWO_WALLS, of, {measured: (("b", amount),)}).hours == Decimal(expected)


def test_schedule_lifts_nothing_without_the_condition() -> None:
    """A task that doesn't name the condition: 200 x 0.05 h = 10 h."""
    taken: dict[Measured, Shares] = {"standard_units": (("a", 200.0),)}
    assert hours(TWO_WALLS, task(), taken).hours == Decimal(10)


def test_lift_courses_counts_an_inch_short_of_a_limit_below_it() -> None:
    """5 ft exposed is at the limit of 4 ft with its top course; 1 in more is over it."""
    assert "middle" not in counts(lifted(level_wall(exposed=ft(5))))
    assert counts(lifted(level_wall(exposed=ft(5) + inch(1))))["middle"] == 27
