"""Choices of conditions that follow from the job, worked by hand (rule 18.12)."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

import pytest

from service.core.job.access import Access
from service.core.job.factor import (
    ByAccess,
    ByHeight,
    ByPlan,
    BySeen,
    BySoil,
    Derivation,
    HeightBand,
)
from service.core.job.job import Job, Soils
from service.core.job.jurisdiction import Jurisdiction
from service.core.job.rates import Condition, Rates
from service.core.job.site import Site, Water
from service.core.job.soil import Digs
from service.core.job.spec import PlanPart
from service.core.labor.derived import (
    SettledConditions,
    deciding_machines,
    lift_units,
    settle_conditions,
)
from service.core.labor.fit import not_chosen
from service.core.measure import US
from tests.given.basis import ASSOCIATION
from tests.given.earth import EARTH_RULES, soil
from tests.given.machines import LB, digger
from tests.given.money import rates
from tests.given.walls import curve, ft, inch, laid, legs, level_wall, section, straight, system

SKID, LOADER = digger("skid", width_ft=5.5), digger("loader", width_ft=2.5)
EASE = ByAccess(
    machines=("skid", "loader"),
    machine="machine",
    wheeled="wheelbarrow",
    carried="by_hand",
    wheeled_m=inch(28),
)
LIFT = ByHeight(
    bands=(HeightBand(up_to_m=ft(4), choice="low"), HeightBand(up_to_m=None, choice="high"))
)
PLAN = ByPlan(
    curved="curved", curved_share=Decimal("0.5"), cornered="cornered", corner_each_m=ft(40)
)
WET = BySeen(signs={"wet": ("standing_water", "spring"), "rocky": ("rock",)})
NEUTRAL = "the neutral choice: Ground"


def condition(name: str, rule: Derivation | None, **choices: str) -> Condition:
    """A condition whose first choice is neutral."""
    return Condition(
        id=name,
        title=name.title(),
        neutral=next(iter(choices)),
        choices={choice: Decimal(factor) for choice, factor in choices.items()},
        derivation=rule,
    )


def knowing(*conditions: Condition) -> Rates:
    """Rates with these conditions, and machines 5 ft 6 in and 2 ft 6 in wide that take 6 in more
    and weigh 8,000 lb."""
    return replace(
        rates(),
        conditions={each.id: each for each in conditions},
        machines={"skid": SKID, "loader": LOADER},
    )


def job_of(of: Rates | None, **more: object) -> Job:
    """A job of which nothing is known but what is given."""
    job = Job(
        units=US,
        walls=(),
        system=system(),
        section=section(),
        materials={},
        jurisdiction=Jurisdiction(
            id="here", version="1", title="Here", cautions=(), earth=EARTH_RULES
        ),
        basis=ASSOCIATION,
        rates=of,
    )
    return replace(job, **more)  # type: ignore[arg-type]


def settled(
    ground: Condition, *plans: Sequence[PlanPart], **more: object
) -> tuple[str | None, str, str]:
    """The one condition of a job: the choice that holds, that which is told, and why."""
    layouts = [laid(level_wall(tuple(plan))) for plan in plans]
    found = settle_conditions(job_of(knowing(ground), **more), layouts, {})
    (told,) = found.assumptions
    assert told.field == f"/conditions/{ground.id}"
    return found.choices.get(ground.id), str(told.value), told.why


def test_settle_conditions_settles_nothing_without_rates() -> None:
    """Nobody works, so that nothing is lifted, settled or decided by machines."""
    job = job_of(None)
    assert lift_units(job, [laid(level_wall())]) == {}
    assert settle_conditions(job, [], {}) == SettledConditions()
    assert deciding_machines(None) == frozenset()


def test_settle_conditions_keeps_what_is_stated_and_follows_the_others() -> None:
    """Ground is stated, so that the soil behind the wall doesn't decide it. Access follows from the
    way, lift from the courses: 5 ft 8 in exposed has one of nine courses over 4 ft, of 27 units.
    Nothing decides the season: it is neutral, and no choice."""
    of = knowing(
        condition("ground", BySoil(), firm="1", loose="0.8"),
        condition("season", None, summer="1", winter="1.2"),
        condition("ease", EASE, machine="1", wheelbarrow="1.25", by_hand="1.5"),
        condition("lift", LIFT, low="1", high="1.3"),
    )
    job = job_of(
        of,
        conditions={"ground": "firm"},
        access=Access(),
        soils=Soils(retained=replace(soil(), digs="loose")),
    )
    layouts = [laid(level_wall(exposed=ft(5, 8)))]
    lifts = lift_units(job, layouts)
    found = settle_conditions(job, layouts, lifts)
    assert found.choices == {"ground": "firm", "ease": "machine"}
    assert found.lifted == lifts["lift"]
    assert found.by_machines == {"ease"}
    under = "the underside of each course over front grade"
    assert [(each.field, each.value, each.why) for each in found.assumptions] == [
        ("/conditions/season", "summer", "the neutral choice: Season"),
        ("/conditions/ease", "machine", "derived from the way: Skid passes"),
        (
            "/conditions/lift",
            "low, high",
            f"derived from {under}: 216 units low, 27 units high",
        ),
    ]
    assert deciding_machines(of) == {"skid", "loader"}


def test_settle_conditions_takes_what_is_stated_of_lift_and_access() -> None:
    """Stated choices follow from nothing: no units are counted, and no machine decides."""
    of = knowing(
        condition("ease", EASE, machine="1", wheelbarrow="1.25", by_hand="1.5"),
        condition("lift", LIFT, low="1", high="1.3"),
    )
    stated = {"ease": "machine", "lift": "high"}
    job = job_of(of, conditions=stated, access=Access(stairs=3))
    layouts = [laid(level_wall())]
    assert lift_units(job, layouts) == {}
    assert settle_conditions(job, layouts, {}) == SettledConditions(choices=stated)
    unknown = settle_conditions(job_of(of), layouts, {})
    assert unknown.by_machines == frozenset()


@pytest.mark.parametrize(
    ("access", "expected", "words"),
    [
        (Access(), "machine", "Skid passes"),
        (Access(narrowest_m=ft(6)), "machine", "Skid passes"),  # 5.5 ft and 6 in
        (Access(narrowest_m=ft(3)), "machine", "Loader passes"),  # 2.5 ft and 6 in
        (Access(narrowest_m=inch(28)), "wheelbarrow", "is 2.33333 ft), a wheelbarrow passes"),
        (Access(narrowest_m=inch(27.9)), "by_hand", "is 2.325 ft), nor does a wheelbarrow pass"),
        (Access(load_limit_kg=7999 * LB), "wheelbarrow", "7999 lb), a wheelbarrow passes"),
        (Access(stairs=1), "by_hand", "on the way), nor does a wheelbarrow pass"),
        (Access(stairs=1, narrowest_m=ft(9)), "by_hand", "nor does a wheelbarrow pass"),
    ],
)
def test_settle_conditions_takes_the_easiest_that_passes(
    access: Access, expected: str, words: str
) -> None:
    """By machine where one passes, else by wheelbarrow from 28 in on without a step, else by
    hand. Both machines are named with what stops them."""
    ease = condition("ease", EASE, machine="1", wheelbarrow="1.25", by_hand="1.5")
    choice, told, why = settled(ease, access=access)
    assert (choice, told) == (expected, expected)
    assert why.startswith("derived from the way: ")
    assert why.endswith(words)
    stopped = expected != "machine"
    assert ("no machine that moves material comes (Skid" in why) == stopped
    assert ("; Loader" in why) == stopped


def test_settle_conditions_brings_no_machine_that_is_left_out() -> None:
    """The way is open, and the choice leaves both machines out: a wheelbarrow passes. The loader
    comes where the skid steer alone is left out."""
    of = knowing(condition("ease", EASE, machine="1", wheelbarrow="1.25", by_hand="1.5"))
    left_out = {name: not_chosen(machine) for name, machine in of.machines.items()}
    job = job_of(of, access=Access())
    assert settle_conditions(job, [], {}, left_out).choices == {"ease": "wheelbarrow"}
    skid = {"skid": left_out["skid"]}
    assert settle_conditions(job, [], {}, skid).choices == {"ease": "machine"}


# Half a radian of 20 ft is 10 ft of curve.
TEN_FT = curve("outside", ft(20), math.degrees(0.5))


@pytest.mark.parametrize(
    ("plans", "expected", "words"),
    [
        ([(straight(ft(10)), TEN_FT)], "curved", "10 ft of 20 ft in curves, 0 corners"),
        ([(straight(ft(11)), TEN_FT)], "plain", "10 ft of 21 ft in curves, 0 corners"),
        ([(TEN_FT,), (straight(ft(10)),)], "curved", "10 ft of 20 ft in curves, 0 corners"),
        ([legs("outside", 90, ft(15), ft(25))], "cornered", "0 ft of 40 ft in curves, 1 corner"),
        ([legs("outside", 90, ft(15), ft(26))], "plain", "0 ft of 41 ft in curves, 1 corner"),
        (
            [legs("outside", 90, ft(8), ft(8)), (TEN_FT, TEN_FT)],
            "cornered",
            "20 ft of 36 ft in curves, 1 corner",
        ),
    ],
)
def test_settle_conditions_takes_the_slowest_of_the_plan(
    plans: Sequence[Sequence[PlanPart]], expected: str, words: str
) -> None:
    """Curved from half of the length of all walls in curves, cornered from a corner for each 40 ft
    of them; of both the one with the larger factor, 1.4 over 1.2."""
    plan = condition("plan", PLAN, plain="1", curved="1.2", cornered="1.4")
    assert settled(plan, *plans) == (expected, expected, f"derived from the plan: {words}")


@pytest.mark.parametrize(
    ("water", "site", "expected", "why"),
    [
        (None, None, None, NEUTRAL),
        (Water(), Site(), None, NEUTRAL),
        (Water(seen=("runoff",)), Site(seen=("lean",)), None, NEUTRAL),
        (Water(seen=("standing_water",)), None, "wet", "standing water"),
        (None, Site(seen=("spring",)), "wet", "spring"),
        (Water(seen=("standing_water",)), Site(seen=("spring",)), "wet", "standing water, spring"),
        (Water(seen=("standing_water",)), Site(seen=("rock",)), "rocky", "rock"),
    ],
)
def test_settle_conditions_takes_the_slowest_of_what_was_seen(
    water: Water | None, site: Site | None, expected: str | None, why: str
) -> None:
    """Rock has the larger factor, 1.5 over 1.2. Nothing follows where nothing was seen that the
    rates know of."""
    ground = condition("ground", WET, dry="1", wet="1.2", rocky="1.5")
    words = f"derived from what was seen: {why}" if expected else why
    assert settled(ground, water=water, site=site) == (expected, expected or "dry", words)


SAYS: Mapping[Digs | None, tuple[str, str]] = {
    "loose": ("loose", "derived from the soil that is cut: Soil"),
    "clay": (
        "firm",
        "derived from the soil that is cut: the file of Soil says clay, no choice here",
    ),
    None: (
        "firm",
        "derived from the soil that is cut: the file of Soil doesn't say how it digs",
    ),
}


@pytest.mark.parametrize("digs", SAYS)
def test_settle_conditions_digs_as_the_soil_behind_the_walls(digs: Digs | None) -> None:
    """Its word is the choice where the rates have it, else the neutral one holds and why is told;
    the fill has no say in it."""
    ground = condition("ground", BySoil(), firm="1", loose="0.8")
    cut, fill = (replace(soil(), title="Soil", digs=each) for each in (digs, "loose"))
    choice, why = SAYS[digs]
    assert settled(ground, soils=Soils(retained=cut, fill=fill)) == (choice, choice, why)
    assert settled(ground, soils=Soils(fill=fill)) == (None, "firm", NEUTRAL)
