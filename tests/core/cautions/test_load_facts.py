"""Facts of what stands above a wall."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.cautions.load_facts import above_fact, load_facts
from service.core.job.spec import LoadAbove, NearWord, WallSpec
from service.core.measure import METRIC, US
from tests.given.earth import ground_wall
from tests.given.walls import ft, inch, laid, level_wall

# 4 ft exposed, 7 courses and a cap: 5 ft high, so that loads count up to 10 ft.
BARE = level_wall()


def stands(what: NearWord, from_ft: float, load_pa: float = 0.0) -> LoadAbove:
    """Something that is called what it is."""
    return LoadAbove(
        what=what, title=what.capitalize(), load_pa=load_pa, from_m=ft(from_ft), near=(what,)
    )


def test_load_facts_of_silence() -> None:
    """Nobody spoke of a load: that is said, and nothing is near."""
    facts = load_facts(laid(BARE), inch(36), 2.0, US)
    assert {key: fact.value for key, fact in facts.items()} == {
        "engineer_load": 0.0,
        "back_slope": 0.0,
        "load_not_stated": 1.0,
    }


def test_load_facts_give_the_nearest_of_each_word() -> None:
    """Of two pools the nearer one, beyond the reach of loads as well: the place says what is
    near."""
    spec = replace(BARE, above=(stands("pool", 30), stands("pool", 15), stands("fence", 2)))
    facts = load_facts(laid(spec), None, 2.0, US)
    assert facts["pool_near"].value == ft(15)
    assert facts["pool_near"].words == "Pool, 15 ft behind the face."
    assert facts["fence_near"].value == ft(2)
    assert "building_near" not in facts
    assert facts["load_not_stated"].value == 0


def test_load_facts_name_what_counts() -> None:
    """What counts is told with its distance, in the caller's units."""
    spec = replace(BARE, above=(stands("walkway", 5, 1000.0), stands("machine", 12, 9000.0)))
    fact = above_fact(laid(spec), 2.0, 0.0, METRIC)["load_or_slope_above"]
    assert fact.value == 1.0
    assert fact.words == "What counts: Walkway, 1.524 m behind the face."


@pytest.mark.parametrize(
    ("from_in", "reach_in", "given"),
    [(36, 36, True), (36.1, 36, False), (24, 24, True), (30, 24, False), (0, None, False)],
)
def test_load_facts_hold_the_drop_where_people_walk(
    from_in: float, reach_in: float | None, given: bool
) -> None:
    """The drop counts where people walk within reach of it, the limit included: IRC R312.1.1."""
    spec = replace(BARE, above=(stands("walkway", from_in / 12),))
    facts = load_facts(laid(spec), None if reach_in is None else inch(reach_in), 2.0, US)
    assert ("drop_at_walkway" in facts) == given
    if given:
        assert facts["drop_at_walkway"].value == pytest.approx(ft(4))


def test_load_facts_name_the_nearest_walkway_over_the_drop() -> None:
    """Of two within reach the nearer one, whichever was named first."""
    spec = replace(BARE, above=(stands("walkway", 3), stands("walkway", 1)))
    words = load_facts(laid(spec), ft(4), 2.0, US)["drop_at_walkway"].words
    assert words == "Walkway, 1 ft behind the face; the drop is 4 ft."


@pytest.mark.parametrize(("from_ft", "counts"), [(9.99, True), (10.0, False)])
def test_load_facts_tell_a_load_for_an_engineer(from_ft: float, counts: bool) -> None:
    """Within twice the height whatever it weighs; a patio is none, a surcharge is its figure."""
    spec = replace(BARE, above=(replace(stands("septic", from_ft), engineer=True),))
    fact = load_facts(laid(spec), None, 2.0, US)["engineer_load"]
    assert fact.value == (math.inf if counts else 0.0)
    assert ("Septic" in fact.words) == counts
    patio = replace(BARE, above=(stands("walkway", 2, 5000.0),))
    assert load_facts(laid(patio), None, 2.0, US)["engineer_load"].value == 0.0
    stated = replace(BARE, surcharge_pa=4000.0)
    assert load_facts(laid(stated), None, 2.0, US)["engineer_load"].value == 4000.0


def holds(spec: WallSpec, slope_over: float = 0.05) -> tuple[bool, str]:
    """Whether a load or a slope stands above, up to twice the height, and in which words."""
    fact = above_fact(laid(spec), 2.0, slope_over, US)["load_or_slope_above"]
    return fact.value > 0, fact.words


@pytest.mark.parametrize(("from_ft", "counts"), [(9.99, True), (10.0, False)])
def test_above_fact_counts_loads_and_slopes_within_twice_the_height(
    from_ft: float, counts: bool
) -> None:
    """A patio, and ground that rises 3:1, each beginning so far behind 5 ft of wall."""
    patio = replace(BARE, above=(stands("walkway", from_ft, 5000.0),))
    assert holds(patio)[0] == counts
    rising = replace(stands("walkway", from_ft), slope=1 / 3)
    held, words = holds(replace(BARE, above=(rising,)))
    assert held == counts
    assert ("rises 3:1 from 9.99 ft behind the face" in words) == counts


@pytest.mark.parametrize(("slope", "counts"), [(0.05, False), (0.0501, True)])
def test_above_fact_takes_nearly_level_ground_as_level(slope: float, counts: bool) -> None:
    """20:1 is the place's limit, stated behind the wall or measured in the ground; where the place
    has none, any slope is one."""
    assert holds(replace(BARE, back_slope=slope))[0] == counts
    # at the wall the bank lies as high as finished ground behind it
    bank = ground_wall((0, 4, 0, 4), (40, 4, 0, 4), existing_slope=slope)
    assert holds(bank)[0] == counts
    assert holds(bank, slope_over=0.0)[0]
    assert not holds(ground_wall((0, 4, 0, 4), (40, 4, 0, 4)), slope_over=0.0)[0]


@pytest.mark.parametrize(("existing_ft", "counts"), [(2.01, True), (2.0, False), (1.0, False)])
def test_above_fact_looks_at_the_bank_where_finished_ground_meets_it(
    existing_ft: float, counts: bool
) -> None:
    """5 ft of wall, 4 ft over ground in front; a bank of 5:1 that starts 2 ft up at the plan line
    is met at (4 - 2) x 5 = 10 ft, twice the height; one 0.01 ft higher nearer."""
    spec = ground_wall((0, 4, 0, existing_ft), (40, 4, 0, existing_ft), existing_slope=0.2)
    held, words = holds(spec)
    assert held == counts
    assert ("ground that rises 5:1 from 9.95 ft behind the face" in words) == counts


def test_above_fact_of_a_surcharge_and_of_what_weighs_nothing() -> None:
    """A stated surcharge is a load, and so is the least that stands there; a lawn is none."""
    assert holds(replace(BARE, surcharge_pa=1.0)) == (True, "What counts: the stated surcharge.")
    assert holds(replace(BARE, above=(stands("walkway", 2, 0.5),)))[0]
    assert holds(replace(BARE, above=(stands("walkway", 2),))) == (False, "")
