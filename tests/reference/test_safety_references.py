"""Limits of codes and safety rules against safety.toml, and the traps that come with them."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from service.catalog import Catalog
from service.core.cautions.cautions import screen_cautions
from service.core.cautions.facts import wall_facts
from service.core.cautions.handling_facts import handling_fact
from service.core.cautions.permit_heights import permit_fact, permit_heights
from service.core.cautions.place_facts import soil_facts
from service.core.cautions.tier_heights import tier_facts
from service.core.ground.soil_class import excavation_class
from service.core.job.fact import Fact
from service.core.job.jurisdiction import HeightFrom, Jurisdiction
from service.core.job.measured import Measured
from service.core.job.presumptive import lateral_words
from service.core.job.site import Site
from service.core.job.soil import ExcavationClass, SoilGroup
from service.core.job.spec import Tier
from service.core.measure import US
from tests.given.earth import dig_section, dug, ground_wall, soil
from tests.given.walls import ft, inch, laid, level_wall, section, system, unit

ROWS = tomllib.loads(Path(__file__).with_name("safety.toml").read_text(encoding="utf-8"))
LB = 0.45359237
PSF_PER_FT = 4.4482216152605 / 0.3048**3  # lbf/ft3 in N/m3: NIST SP 811


@pytest.fixture(scope="module")
def plain(catalog: Catalog) -> Jurisdiction:
    """The plain rules."""
    return catalog.jurisdictions["plain"].core


@pytest.fixture(scope="module")
def strict(catalog: Catalog) -> Jurisdiction:
    """The example of a stricter place."""
    return catalog.jurisdictions["strict_example"].core


def codes(place: Jurisdiction, **facts: float) -> list[str]:
    """Codes of the cautions that figures of one wall give."""
    given: Any = {trigger: Fact(value=value) for trigger, value in facts.items()}
    return [
        each.code for each in screen_cautions(place, {"wall-1": given}, {}, US).given if each.walls
    ]


@pytest.mark.parametrize("row", ROWS["thresholds"]["rows"], ids=lambda row: row["code"])
def test_shipped_limits_hold_at_their_boundaries(plain: Jurisdiction, row: dict[str, str]) -> None:
    """Just short of its limit nothing is said, from the limit on (or just past it) it is."""
    short, reached = (
        codes(plain, **{row["trigger"]: ft(float(row[key]))}) for key in ("short", "reached")
    )
    assert row["code"] not in short
    assert row["code"] in reached


@pytest.mark.parametrize("row", ROWS["lifting"]["rows"], ids=str)
def test_trap_39_a_heavy_unit_is_no_load_for_one(plain: Jurisdiction, row: dict[str, Any]) -> None:
    """82 lb, once a minute all day, against a limit of 15.62 lb is an index of 5.25; against 51 lb
    it would be 1.61. Set once in six minutes the limit is 17.71 lb."""
    assert plain.handling is not None
    handling = replace(plain.handling, constants=row["constants"])
    limit = handling.limit_kg(row["per_minute"]) / (LB if row["unit"] == "lb" else 1.0)
    assert limit == pytest.approx(row["limit"], abs=0.5 * 10 ** -row["limit_places"])
    heavy = system(standard=unit(weight_kg=row["weight_lb"] * LB), cap=None)
    often: dict[Measured, float] = {"standard_units": row["per_minute"]}
    fact = handling_fact(heavy, handling, often, US)["lifting_index"]
    assert fact.value == pytest.approx(row["index"], abs=0.005)
    given = [each.code for each in screen_cautions(plain, {}, {"lifting_index": fact}, US).given]
    assert "machine-unit" in given
    assert not {"heavy-unit", "lifting"} & set(given)


def test_trap_39_three_quarters_of_the_limit_is_one_person_s(plain: Jurisdiction) -> None:
    """A unit within the limit is nobody's worry beside the general word; one of twice the limit
    takes two people, one of three times a machine: one word on lifting, whichever."""
    assert plain.handling is not None
    limit = plain.handling.limit_kg(plain.handling.per_minute)
    for share, said in (
        (1.0, "lifting"),
        (2.0, "heavy-unit"),
        (3.0, "heavy-unit"),
        (3.01, "machine-unit"),
    ):
        light = system(standard=unit(weight_kg=share * limit), cap=None)
        found = screen_cautions(plain, {}, handling_fact(light, plain.handling, {}, US), US)
        codes = [each.code for each in (*found.given, *found.always)]
        assert [code for code in codes if code in ("lifting", "heavy-unit", "machine-unit")] == [
            said
        ]


def test_trap_1_permit_height_is_taken_from_the_bottom(
    plain: Jurisdiction, strict: Jurisdiction
) -> None:
    """42 in exposed and 8 in buried are 50 in, and 56 in with the pad: over 48 in, though the
    exposed height is not. Source: IRC 2009, R105.2 item 3."""
    spec = level_wall(exposed=inch(42))
    # 5 courses of 10 in, cap of none: joints 42 - 10 k, the lowest at -8 in
    blocks = system(standard=unit(height=inch(10)), cap=None)
    facts = wall_facts(laid(spec, blocks), section(), US)
    assert facts["exposed_height"].value == pytest.approx(inch(42))
    assert facts["wall_height"].value == pytest.approx(inch(50))
    for place, height in ((plain, 56), (strict, 50)):  # there the pad is no footing
        fact = permit_fact(laid(spec, blocks), section(), place.height_from, US)
        assert fact["permit_height"].value == pytest.approx(inch(height))
        given = [each.code for each in screen_cautions(place, {"wall-1": fact}, {}, US).given]
        assert "permit-height" in given


@pytest.mark.parametrize(
    ("height_from", "exposed_in", "asked"),
    [
        ("pad_bottom", 36, False),  # 36 + 6 buried + 6 of pad are 48, not over 48
        ("pad_bottom", 36.1, True),
        ("lowest_unit", 42, False),
        ("lowest_unit", 42.1, True),
        ("front_grade", 48, False),
        ("front_grade", 48.1, True),
    ],
)
def test_trap_1_the_place_says_where_it_measures_from(
    plain: Jurisdiction, height_from: HeightFrom, exposed_in: float, *, asked: bool
) -> None:
    """The same 48 in from the bottom of the pad, from the lowest unit, or from the ground."""
    # one course: whatever the height, 6 in of it are buried
    blocks = system(standard=unit(height=inch(exposed_in + 6)), cap=None)
    layout = laid(level_wall(exposed=inch(exposed_in)), blocks)
    facts = {"wall-1": permit_fact(layout, section(), height_from, US)}
    given = [each.code for each in screen_cautions(plain, facts, {}, US).given]
    assert ("permit-height" in given) == asked


def test_trap_25_a_deep_cut_is_sloped_by_the_class_of_its_soil(plain: Jurisdiction) -> None:
    """A section that says vertical is dug at 3/4, 1 or 1 1/2 to 1 from 5 ft on. Source: 29 CFR 1926
    Subpart P, Appendix B, Table B-1."""
    upright = dig_section(cut_slope=0.0)
    classes: tuple[ExcavationClass, ...] = ("A", "B", "C")
    # 4 ft exposed, 7 courses of 8 in: the lowest at -8 in, the pad's underside at -14 in
    for above_ft, slopes in ((46 / 12 - 0.01, (0.0, 0.0, 0.0)), (46 / 12, (0.75, 1.0, 1.5))):
        spec = ground_wall(
            (0, 4, 0, above_ft),
            (40, 4, 0, above_ft),
            graded_in_front_m=ft(3),
            graded_behind_m=ft(12),
        )
        blocks = system(cap=None)
        found = [
            dug(spec, upright, blocks, of=soil(class_=each), rules=plain.earth).cut_slope
            for each in classes
        ]
        assert tuple(found) == slopes


def test_trap_38_old_fill_is_never_class_a(plain: Jurisdiction) -> None:
    """Ground that is fill stands as class B, 1:1 and not 3/4:1. Source: 29 CFR 1926 Subpart P,
    Appendix A."""
    stiff = soil(class_="A")
    best = plain.earth.disturbed_class
    assert excavation_class(stiff, Site(seen=("fill",)), best) == "B"
    assert excavation_class(stiff, Site(seen=("rock",)), best) == "A"
    assert excavation_class(stiff, None, best) == "A"
    assert excavation_class(soil(class_="C"), Site(seen=("fill",)), best) == "C"
    given = screen_cautions(plain, {}, soil_facts(stiff, None, None), US).given
    assert "class-a-soil" in [each.code for each in given]


def test_trap_40_two_tiers_are_not_two_small_walls(plain: Jurisdiction) -> None:
    """Walls of 5 ft, 6 ft apart, count as 10 ft; 10 ft apart, twice the lower one, each alone.
    Source: the rule of thumb of SRW-TEC-004 (2010), from memory."""
    lower, upper = laid(level_wall(name="lower")), laid(level_wall(name="upper", front=ft(4)))
    assert lower.max_wall_height_m == pytest.approx(ft(5))
    for offset_ft, combined in ((6, ft(10)), (9.99, ft(10)), (10, None)):
        tiers = [Tier(lower="lower", upper="upper", offset_m=ft(offset_ft))]
        walls = [lower, upper]
        measured = permit_heights(walls, section(), "lowest_unit")
        facts = tier_facts(tiers, walls, plain.add_tiers_within, measured, US)
        found = facts["lower"].get("combined_height")
        assert (found.value if found else None) == (pytest.approx(combined) if combined else None)


def test_trap_40_two_low_tiers_need_the_permit_of_a_high_wall(plain: Jurisdiction) -> None:
    """Two walls of 32 in are under 4 ft each, also with their pads of 6 in, and 76 in together."""
    # exposed 26 in without a cap: 26 - 4 x 8 = -6 in, just the embedment
    lower, upper = (
        laid(level_wall(exposed=inch(26), name=name), system(cap=None))
        for name in ("lower", "upper")
    )
    assert lower.max_wall_height_m == pytest.approx(inch(32))
    tiers = [Tier(lower="lower", upper="upper", offset_m=ft(3))]
    measured = permit_heights([lower, upper], section(), plain.height_from)
    facts = tier_facts(tiers, [lower, upper], plain.add_tiers_within, measured, US)
    assert facts["lower"]["combined_height"].value == pytest.approx(inch(76))
    given = [each.code for each in screen_cautions(plain, facts, {}, US).given if each.walls]
    assert given == ["permit-combined-height", "tiers"]
    alone = {name: Fact(value=inch(32)) for name in ("wall_height", "exposed_height")}
    single: Any = {"lower": alone, "upper": alone}
    high = [
        c.code
        for c in screen_cautions(plain, single, {}, US).given
        if c.severity == "high" and c.walls
    ]
    assert high == []


@pytest.mark.parametrize("row", ROWS["presumptive"]["rows"], ids=lambda row: row["group"])
def test_shipped_presumptive_values_are_those_of_the_table(
    plain: Jurisdiction, row: dict[str, Any]
) -> None:
    """Active and at-rest pressure per foot and bearing by soil group."""
    assert plain.presumptive is not None
    lateral = plain.presumptive.lateral_of(row["group"])
    bearing = plain.presumptive.bearing_of(row["group"])
    assert lateral is not None
    assert bearing is not None
    assert lateral.active_pa_m / PSF_PER_FT == pytest.approx(row["active"])
    assert lateral.at_rest_pa_m / PSF_PER_FT == pytest.approx(row["at_rest"])
    assert bearing.bearing_pa * 0.3048**2 / 4.4482216152605 == pytest.approx(row["bearing"])
    said = f"{row['active']} psf per ft of depth active and {row['at_rest']} psf per ft"
    assert said in lateral_words(lateral, US)


@pytest.mark.parametrize("group", ["OL", "MH", "CH", "OH"])
def test_shipped_presumptive_values_leave_out_unfit_soil(
    plain: Jurisdiction, group: SoilGroup
) -> None:
    """Organic and swelling soil may not go behind a wall. Source: IBC Table 1610.1 (memory)."""
    assert plain.presumptive is not None
    assert plain.presumptive.lateral_of(group) is None
    assert group in plain.presumptive.unsuitable


def test_trap_41_a_code_table_is_that_of_its_place(
    plain: Jurisdiction, strict: Jurisdiction
) -> None:
    """Clay is 60 and 100 in the model code, and 45 and 60 where a city amends it."""
    for place, active, rest in ((plain, 60, 100), (strict, 45, 60)):
        assert place.presumptive is not None
        row = place.presumptive.lateral_of("CL")
        assert row is not None
        assert row.active_pa_m / PSF_PER_FT == pytest.approx(active)
        assert row.at_rest_pa_m / PSF_PER_FT == pytest.approx(rest)


def test_trap_41_permit_height_differs_between_places(
    plain: Jurisdiction, strict: Jurisdiction
) -> None:
    """A wall of 30 in, as each measures, is free in one place and needs a permit in the other."""
    assert "permit-height" not in codes(plain, permit_height=inch(30))
    assert "permit-height" in codes(strict, permit_height=inch(30))
    assert "permit-height" not in codes(strict, permit_height=inch(24))


def test_trap_37_what_codes_ask_for_is_never_left_out(catalog: Catalog) -> None:
    """Guard, locate, permit, silica, shoring: each has its caution in every shipped place, and
    permit, engineer and shoring a sum that the terms can set aside."""
    for place in catalog.jurisdictions.values():
        given = [rule.code for rule in place.core.cautions]
        asked = ("guard-height", "utilities-not-located", "permit-height", "dust-when-cutting")
        assert not [code for code in (*asked, "trench-shoring") if code not in given]
    sums = [each.caution for each in catalog.terms["with_allowances"].core.allowances]
    assert {"permit-height", "engineer-height", "trench-shoring"} <= set(sums)
