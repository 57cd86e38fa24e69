"""Choices of conditions that follow from the job: the way, courses, soil, plan (rule 18.12)."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.given.catalogs import shipped_catalog
from tests.given.machines import rates_without_choice
from tests.given.quote_requests import Json, answered, level_wall, shipped_request, straight

pytestmark = pytest.mark.no_cover  # others run the same lines

# Of terrace_8in: 40 ft of 17 in units are 29 a course; setting one takes 0.1 h, a corner 0.2 h.
A_COURSE = 29
# Half a radian of a 20 ft radius is 10 ft of curve.
TEN_FT_OF_CURVE: Json = {
    "kind": "curve",
    "side": "outside",
    "radius": "20 ft",
    "angle": "28.647889757 deg",
}
CORNER: Json = {"kind": "corner", "side": "outside", "angle": "90 deg"}


def quoted(*walls: Json, **more: object) -> Json:
    """The answer on the shipped rates; 40 ft of wall, 4 ft high, unless told otherwise."""
    return answered(shipped_request(*walls, **{"rates": "small_crew", **more}), shipped_catalog())


def dug(wall: Json) -> Json:
    """The wall with level ground at 0 ft before the work, filled behind to 8 ft."""
    first, *others = wall["profile"]
    profile = [{**first, "existing_grade": "0 ft"}, *others]
    ends = {"start": "against_structure", "finish": "against_structure"}
    return {**wall, "profile": profile, "ends": ends, "graded_behind": "8 ft"}


def assumed(answer: Json, condition: str) -> tuple[str, str]:
    """The choice of a condition among the assumptions, and why."""
    (found,) = (
        each for each in answer["assumptions"] if each["field"] == f"/conditions/{condition}"
    )
    return found["value"], found["why"]


def hours(answer: Json, task: str = "set_units") -> Decimal:
    """Hours of a task of the crew."""
    (found,) = (each for each in answer["labor"]["tasks"] if each["task"] == task)
    return Decimal(found["hours"])


def how(answer: Json, task: str = "set_units") -> str:
    """The arithmetic of a task's hours."""
    (found,) = (each for each in answer["labor"]["tasks"] if each["task"] == task)
    return " | ".join(found["how"])


@pytest.mark.parametrize(
    ("access", "expected"),
    [
        ({"narrowest_passage": "6 ft"}, "machine"),  # the skid steer: 5 ft 6 in and 6 in
        ({"narrowest_passage": "35 in"}, "machine"),  # the stand-on loader: 34 in and 1 in
        ({"narrowest_passage": "34.9 in"}, "wheelbarrow"),
        ({"narrowest_passage": "28 in"}, "wheelbarrow"),
        ({"narrowest_passage": "27.9 in"}, "by_hand"),
        ({"stairs": 3}, "by_hand"),
        # The narrow excavator of 2,300 lb comes, but moves nothing; the loader weighs 2,600 lb.
        ({"narrowest_passage": "4 ft", "load_limit": "2400 lb"}, "wheelbarrow"),
    ],
)
def test_quote_takes_access_ease_from_the_way(access: Json, expected: str) -> None:
    """Material comes by machine only where one that moves material passes, else by wheelbarrow,
    and by hand where a wheelbarrow doesn't pass either."""
    found = quoted(access={"distance": "60 ft", **access}, rates=rates_without_choice())
    choice, why = assumed(found, "access_ease")
    assert choice == expected
    assert why.startswith("derived from the way: ")


def test_quote_takes_a_wheelbarrow_where_no_loader_is_chosen() -> None:
    """Through 35 in only the hired loader passes, and the choice leaves it out: its day and two
    trips cost more than the people's hours. Then nothing is as easy as by machine; told that it
    comes by machine, the loader is hired."""
    way: Json = {"access": {"distance": "60 ft", "narrowest_passage": "35 in"}}
    found = quoted(**way)
    assert "stand_on_loader" not in found["labor"]["choice"]["machines"]
    choice, why = assumed(found, "access_ease")
    assert choice == "wheelbarrow"
    assert "Stand-on loader is not among the machines chosen" in why
    told = quoted(**way, conditions={"access_ease": "machine"})
    assert "stand_on_loader" in told["labor"]["choice"]["machines"]


def test_quote_slows_setting_by_the_way_that_was_derived() -> None:
    """A 4 ft wall has 6 courses over the trench's: 7 x 29 units at 0.1 h x 1.25 are 25.375 h."""
    narrow = quoted(access={"distance": "60 ft", "narrowest_passage": "30 in"})
    assert hours(narrow) == Decimal("25.38")
    assert "x 1.25 (access_ease: wheelbarrow)" in how(narrow)


def test_quote_says_why_no_machine_moves_material() -> None:
    """Each machine that moves material is named with what stops it."""
    _, why = assumed(
        quoted(access={"distance": "60 ft", "narrowest_passage": "30 in"}), "access_ease"
    )
    assert "Skid steer is 5.5 ft wide" in why
    assert "Stand-on loader is 2.83 ft wide" in why


def test_quote_without_a_way_keeps_access_neutral() -> None:
    """Nobody said how narrow the way is: the neutral choice, and not called derived."""
    choice, why = assumed(quoted(), "access_ease")
    assert (choice, why) == ("machine", "the neutral choice: How material reaches the wall")


def test_quote_sets_each_course_at_the_factor_of_its_height() -> None:
    """7 ft exposed: the top joint lies 80 in up, so undersides lie -8, 0, 8 ... 72 in over grade.

    Those of 56, 64 and 72 in lie over 4 ft and not over 6: 3 x 29 = 87 of 11 x 29 = 319 units.
    (232 + 87 x 1.15) x 0.1 h = 33.205 h.
    """
    found = quoted(level_wall(exposed="7 ft"))
    assert hours(found) == Decimal("33.21")
    assert "(232 each x 1 (lift: to_4_ft) + 87 each x 1.15 (lift: to_6_ft)) x 0.1 h" in how(found)
    choice, why = assumed(found, "lift")
    assert choice == "to_4_ft, to_6_ft"
    assert why.endswith("over front grade: 232 units to_4_ft, 87 units to_6_ft")


def test_quote_sets_corner_units_at_the_height_of_their_course() -> None:
    """A finished end has one corner unit a course: (8 + 3 x 1.15) x 0.2 h = 2.29 h."""
    found = quoted(level_wall(exposed="7 ft", ends={"start": "finished"}))
    assert hours(found, "set_corners") == Decimal("2.29")


@pytest.mark.parametrize(
    ("exposed", "expected"),
    [("5 ft", "to_4_ft"), ("5 ft 1 in", "to_4_ft, to_6_ft"), ("7 ft 1 in", None)],
)
def test_quote_counts_4_ft_to_the_lower_band(exposed: str, expected: str | None) -> None:
    """5 ft exposed has its top course at 60 - 4 - 8 = 48 in, 4 ft: in the lower band. An inch more
    is over it; at 7 ft 1 in the top course lies 73 in up, over 6 ft."""
    choice, _ = assumed(quoted(level_wall(exposed=exposed)), "lift")
    assert choice == (expected or "to_4_ft, to_6_ft, over_6_ft")


def test_quote_takes_a_stated_lift_for_every_course() -> None:
    """319 x 0.1 h x 1.3 = 41.47 h, whatever the height of a course."""
    found = quoted(level_wall(exposed="7 ft"), conditions={"lift": "over_6_ft"})
    assert hours(found) == Decimal("41.47")
    assert "/conditions/lift" not in [each["field"] for each in found["assumptions"]]


def test_quote_lifts_each_wall_by_its_own_courses() -> None:
    """A 4 ft wall beside one of 7 ft: only the 87 units of the taller are lifted over 4 ft."""
    tall, low = level_wall(exposed="7 ft", name="tall"), level_wall(name="low")
    found = quoted(tall, low)
    assert "435 each x 1 (lift: to_4_ft) + 87 each x 1.15" in how(found)


@pytest.mark.parametrize(
    ("soil", "expected", "factor"),
    [("clay", "clay", 1.24), ("sand_gravel", "loose", 0.86), ("loam", "firm", 1.0)],
)
def test_quote_digs_as_the_soil_that_is_cut(soil: str, expected: str, factor: float) -> None:
    """Hours of the excavator are cut x (1/10.5 + 4/7.5 + 1/4.5)/6 h x the factor of the soil; the
    fill has no say in it."""
    soils = {"retained": soil, "fill": "silty_sand"}
    found = quoted(dug(level_wall()), soils=soils, rates=rates_without_choice())
    assert assumed(found, "digging")[0] == expected
    used = {each["machine"]: each for each in found["labor"]["equipment"]}
    cut = float(found["earthwork"]["cut"]["value"])
    by_hand = cut * (1 / 10.5 + 4 / 7.5 + 1 / 4.5) / 6 * factor
    assert float(used["mini_excavator"]["hours"]) == pytest.approx(by_hand, abs=0.006)


def test_quote_digs_as_usual_where_the_rates_have_no_choice_for_the_soil() -> None:
    """The file of clay says that it digs as clay; rates that know of loose and hard soil alone
    take their neutral choice, and say why."""
    rates = rates_without_choice()
    digging = rates["conditions"]["digging"]
    choices = {name: factor for name, factor in digging["choices"].items() if name != "clay"}
    own = {
        **rates,
        "conditions": {**rates["conditions"], "digging": {**digging, "choices": choices}},
    }
    found = quoted(dug(level_wall()), soils={"retained": "clay", "fill": "silty_sand"}, rates=own)
    choice, why = assumed(found, "digging")
    assert (choice, why) == (
        "firm",
        "derived from the soil that is cut: the file of Clay says clay, no choice here",
    )


@pytest.mark.parametrize(
    ("water", "site", "expected", "words"),
    [
        (["wet_ground"], [], "wet", "what was seen: wet ground"),
        (["standing_water"], ["stumps"], "wet", "what was seen: standing water"),
        ([], ["spring"], "wet", "what was seen: spring"),
        ([], ["stumps"], "rooty", "what was seen: stumps"),
        (["runoff"], ["rock"], "firm", None),
    ],
)
def test_quote_takes_the_ground_from_what_was_seen(
    water: list[str], site: list[str], expected: str, words: str | None
) -> None:
    """Wet ground slows the pad by 1.3, roots by 1.15; of both the wet counts. What says nothing of
    the ground leaves it firm, and a stated choice wins."""
    plain = quoted()
    more: Json = {"water": {"outlet": "daylight", "seen": water}, "site": {"seen": site}}
    answer = quoted(**more)
    choice, why = assumed(answer, "ground")
    assert choice == expected
    assert (why == f"derived from {words}") == (words is not None)
    factor = {"wet": Decimal("1.3"), "rooty": Decimal("1.15"), "firm": Decimal(1)}[expected]
    assert hours(answer, "place_pad") == pytest.approx(
        hours(plain, "place_pad") * factor, abs=Decimal("0.01")
    )
    assert hours(quoted(**more, conditions={"ground": "firm"}), "place_pad") == hours(
        plain, "place_pad"
    )


def test_quote_without_a_soil_keeps_digging_neutral() -> None:
    """No soil is named: the neutral choice, and not called derived."""
    assert assumed(quoted(), "digging") == ("firm", "the neutral choice: How the ground digs")


def curved_wall(straight_ft: str, **more: str) -> Json:
    """A straight of some feet and 10 ft of curve."""
    return {**level_wall(plan=[straight(straight_ft), TEN_FT_OF_CURVE]), **more}


def cornered_wall(*legs: str, **more: str) -> Json:
    """Straights with a corner between each two."""
    plan = [straight(legs[0])]
    for leg in legs[1:]:
        plan += [CORNER, straight(leg)]
    return {**level_wall(plan=plan), **more}


@pytest.mark.parametrize(
    ("walls", "expected"),
    [
        ([curved_wall("30 ft")], "curved"),  # 10 of 40 ft
        ([curved_wall("30 ft 1 in")], "plain"),
        ([curved_wall("30 ft", name="a"), level_wall("1 ft", name="b")], "plain"),  # 10 of 41 ft
        ([cornered_wall("15 ft", "15 ft")], "plain"),  # one corner on 30 ft
        ([cornered_wall("8 ft", "7 ft")], "many_corners"),  # one on 15 ft
        ([cornered_wall("8 ft", "7 ft 1 in")], "plain"),
        ([cornered_wall("8 ft", "7 ft", name="a"), level_wall("1 ft", name="b")], "plain"),
        # 10 of 40 ft in curves, and 3 corners on 40 ft: 1.25 is more than 1.15.
        (
            [
                cornered_wall("5 ft", "5 ft", "5 ft", "5 ft", name="a"),
                curved_wall("10 ft", name="b"),
            ],
            "many_corners",
        ),
    ],
)
def test_quote_takes_layout_from_the_plan_of_all_walls(walls: list[Json], expected: str) -> None:
    """Curved from a quarter of the length in curves, many corners from one for each 15 ft, over
    all walls together; of two the one with the larger factor."""
    choice, why = assumed(quoted(*walls), "layout")
    assert choice == expected
    assert why.startswith("derived from the plan: ")


def test_quote_shows_the_plan_that_layout_was_derived_from() -> None:
    """The words give the length in curves, the whole length, and the corners."""
    found = quoted(curved_wall("30 ft", name="a"))
    assert assumed(found, "layout")[1] == (
        "derived from the plan: 10 ft of 40 ft in curves, 0 corners"
    )
    assert "x 1.15 (layout: curved)" in how(found)


@given(
    passage=st.sampled_from(["26 in", "30 in", "36 in", "8 ft"]),
    soil=st.sampled_from(["loam", "sand_gravel", "silty_sand"]),
    wall=st.sampled_from(
        [
            level_wall(),
            level_wall(exposed="3 ft"),
            curved_wall("20 ft"),
            cornered_wall("9 ft", "6 ft"),
        ]
    ),
)
@settings(max_examples=12)
def test_quote_is_unchanged_by_stating_what_was_derived(
    passage: str, soil: str, wall: Json
) -> None:
    """A stated condition equal to the derived one changes neither hours nor price; each of these
    walls lies in one band of lift."""
    site: Json = {
        "access": {"distance": "60 ft", "narrowest_passage": passage},
        "soils": {"retained": soil},
        "terms": "standard",
        "site_work": [{"task": "strip_sod", "quantity": "200 ft2"}],
    }
    derived = quoted(dug(wall), **site)
    names = ("access_ease", "lift", "digging", "layout")
    stated = quoted(
        dug(wall), **site, conditions={name: assumed(derived, name)[0] for name in names}
    )
    # where it is stated how material moves, the choice is compared with other sets
    chosen = [each["labor"].pop("choice") for each in (stated, derived)]
    assert chosen[0]["machines"] == chosen[1]["machines"]
    assert stated["labor"] == derived["labor"]
    assert stated["price"] == derived["price"]
