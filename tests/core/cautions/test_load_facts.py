"""Facts of what stands above a wall."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from service.core.cautions.load_facts import load_facts
from service.core.job.spec import LoadAbove, NearWord
from service.core.measure import METRIC, US
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
        "surcharge": 0.0,
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
    """The surcharge says what it is made of, each with its distance, in the caller's units."""
    spec = replace(BARE, above=(stands("walkway", 5, 1000.0), stands("machine", 12, 9000.0)))
    fact = load_facts(laid(spec), None, 2.0, METRIC)["surcharge"]
    assert fact.value == 1000.0
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
