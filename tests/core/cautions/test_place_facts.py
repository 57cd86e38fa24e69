"""Facts of ground and season against what a place says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.cautions.place_facts import (
    book_fact,
    course_fact,
    cut_facts,
    presumed_words,
    season_facts,
    septic_fact,
    soil_facts,
)
from service.core.job.fact import Fact, Facts
from service.core.job.jurisdiction import CautionRule, Jurisdiction
from service.core.job.machine import HandStrip
from service.core.job.presumptive import BearingValue, LateralValues, Presumptive
from service.core.job.section import RuleBook
from service.core.job.site import Site
from service.core.job.soil import ExcavationClass
from service.core.measure import METRIC, US
from tests.given.earth import EARTH_RULES, soil
from tests.given.money import rates
from tests.given.walls import entry, ft, inch, laid, level_wall, section, straight, wall

HERE = Jurisdiction(
    id="here",
    version="1",
    title="Here",
    cautions=(),
    earth=EARTH_RULES,
    frost_months=(1, 12),
    wet_months=(4,),
)
TABLE = Presumptive(
    lateral=(LateralValues(groups=("CL",), active_pa_m=9000, at_rest_pa_m=16000, source="a"),),
    bearing=(BearingValue(groups=("CL",), bearing_pa=72000, source="b"),),
    unsuitable=("CH",),
)


@pytest.mark.parametrize(
    ("month", "expected"),
    [(12, (1, 0)), (1, (1, 0)), (2, (0, 0)), (4, (0, 1)), (None, None)],
)
def test_season_facts_go_by_the_months_of_the_place(
    month: int | None, expected: tuple[float, float] | None
) -> None:
    """Frost in December and January, wet in April; without a date nothing is said."""
    facts = season_facts(month, HERE)
    if expected is None:
        assert facts == {}
    else:
        assert (facts["frost_month"].value, facts["wet_month"].value) == expected


def test_soil_facts_of_no_soil() -> None:
    """A soil that nobody named is said to be missing, and nothing else of it."""
    facts = soil_facts(None, None, TABLE)
    assert {key: fact.value for key, fact in facts.items()} == {"soil_not_stated": 1.0}


def test_presumed_words_give_the_values_of_the_group() -> None:
    """9 and 16 kPa per m and 72 kPa, each with its source."""
    clay = replace(soil("clay"), group="CL")
    words = presumed_words(clay, TABLE, METRIC)
    assert "9 kPa per m of depth active and 16 kPa per m of depth at rest (a)" in words
    assert "72 kPa of bearing (b)" in words
    assert presumed_words(soil(), TABLE, US) == presumed_words(None, TABLE, US) == ""


@pytest.mark.parametrize(("class_", "held"), [("A", 1.0), ("B", 0.0), ("C", 0.0)])
def test_soil_facts_say_class_a(class_: ExcavationClass, held: float) -> None:
    """Soil of class A is told with its title; B and C are not."""
    fact = soil_facts(soil(class_=class_), None, None)["class_a_soil"]
    assert fact.value == held
    assert fact.words.startswith("Retained soil: ")


def test_soil_facts_look_at_the_fill_that_is_brought() -> None:
    """Fat clay in the ground is fine where gravel is put back, and not the other way round."""
    fat, gravel = replace(soil(), group="CH"), replace(soil(), group="GW")
    for retained, fill, unfit in ((fat, gravel, 0), (fat, None, 1), (gravel, fat, 1)):
        assert soil_facts(retained, fill, TABLE)["soil_unsuitable"].value == unfit


def test_cut_facts_say_the_slope_of_the_class() -> None:
    """Class A in fill is sloped as B, and says why."""
    deep: Facts = {"trench_depth": Fact(value=ft(6))}
    spec = level_wall()
    plain = cut_facts(deep, soil(class_="A"), None, HERE, spec, None, US)["classed_cut_depth"]
    assert plain.value == ft(6)
    assert plain.words == "Soil class A: no steeper than 0.75:1."
    site = Site(seen=("fill",))
    filled = cut_facts(deep, soil(class_="A"), site, HERE, spec, None, US)["classed_cut_depth"]
    assert filled.words == ("Soil class B, not A, because the ground is fill: no steeper than 1:1.")
    unknown = cut_facts(deep, None, None, HERE, spec, None, US)
    assert "classed_cut_depth" not in unknown
    assert unknown["cut_not_sloped"].value == 1


def test_course_fact_counts_the_highest_stack() -> None:
    """4 ft over ground in 8 in courses with a 4 in cap: 7 courses, counted where no hours hold the
    strip that is filled by hand with them: without rates, and where the ground isn't measured."""
    high = laid(level_wall())
    assert course_fact(high, None, measured=True)["course_count"].value == 7
    plain = rates()
    by_hand = replace(plain, hand_strip=HandStrip(width_m=ft(3)))
    assert course_fact(high, by_hand, measured=False)["course_count"].value == 7
    assert course_fact(high, plain, measured=True)["course_count"].value == 7
    assert course_fact(high, by_hand, measured=True) == {}
    rising = (entry(0.0, inch(48)), entry("end", inch(48), inch(24)))  # 7 courses down to 4
    stepped = laid(wall((straight(ft(24)),), rising))
    assert course_fact(stepped, None, measured=True)["course_count"].value == 7


def test_septic_fact_stands_at_no_distance() -> None:
    """A septic line that was spoken of is near until someone says how far it is."""
    assert septic_fact(Site(private_lines=("septic",)))["septic_near"].value == 0
    assert septic_fact(Site(private_lines=("gas",))) == {}
    assert septic_fact(None) == {}


@pytest.mark.parametrize(
    ("book", "basis", "two"),
    [("association", "association", 0), ("fhwa", "association", 1), (None, "fhwa", 0)],
)
def test_trap_6_book_fact_tells_two_rule_books(book: RuleBook | None, basis: str, two: int) -> None:
    """Embedment by one book and checks by another are told; a section without a book is not."""
    plain = section()
    detail = replace(plain, embedment=replace(plain.embedment, basis=book))
    assert book_fact(detail, basis)["two_rule_books"].value == two


def rule(code: str, severity: str = "low") -> CautionRule:
    """A rule that always holds."""
    return CautionRule(
        code=code,
        trigger="always",
        severity="high" if severity == "high" else "low",
        text=code,
        source="invented",
    )
