"""Figures of law and of method: what the shipped files say is what rule_figures.toml says."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from geotech_references.gec_11 import tables as fhwa
from pydantic import ValidationError

from service.catalog import Catalog
from service.catalog.documents import ScreeningBasisDocument
from service.catalog.files import with_text_dates
from service.catalog.schemas import shipped_folder
from service.core.job.basis import Basis
from service.core.job.jurisdiction import Jurisdiction
from service.core.measure import METRIC, US, UnitSet
from tests.given.earth import dig_section, dug, ground_wall, soil
from tests.given.reference_tables import Row
from tests.given.statics import deg
from tests.given.walls import ft, inch, system

DATA = tomllib.loads(Path(__file__).with_name("rule_figures.toml").read_text(encoding="utf-8"))
UNITS: dict[str, Callable[[float], float]] = {"ft": ft, "in": inch, "deg": deg}


def rows(table: str, entry: str) -> pytest.MarkDecorator:
    """One case per figure of an entry."""
    return pytest.mark.parametrize("row", DATA[table][entry], ids=lambda row: row["rule"])


def run(text: str) -> float:
    """A slope written horizontal:vertical as run over rise."""
    horizontal, _, vertical = text.partition(":")
    return float(Fraction(horizontal) / Fraction(vertical))


def figure(text: str) -> float | str:
    """A figure in SI; a letter stays one."""
    value, _, unit = text.partition(" ")
    if unit:
        return UNITS[unit](float(value))
    if ":" in value:
        return run(value)
    return text if text.isalpha() else float(Fraction(text))


def of_place(place: Jurisdiction) -> dict[str, float | str | None]:
    """The figures of a place by the names of the rows."""
    near_end = next(each for each in place.cautions if each.trigger == "base_step_near_end")
    earth = place.earth
    return {
        "deep_cut": earth.deep_cut_m,
        **{f"slope_{name}": slope for name, slope in earth.cut_slopes.items()},
        "disturbed": earth.disturbed_class,
        "to_existing_within": earth.grade_within_m,
        "left_standing": place.least_over("ground_left_standing"),
        "guard_reach": place.guard_reach_m,
        "tiers_within": place.add_tiers_within,
        "step_near_end": near_end.under,
    }


def of_basis(basis: Basis) -> dict[str, float | None]:
    """The figures of a rule book by the names of the rows; slopes as run over rise."""
    layers, tiers, beside = basis.layers, basis.tiers, basis.beside
    return {
        "steep": 1 / beside.steep,
        "load_reach": beside.load_reach,
        "independent_share": tiers.independent_share,
        "plumb_under": basis.plumb_under_rad,
        "hinge_over": basis.hinge_over_rad,
        "wall_friction_share": basis.wall_friction_share,
        "soil_between": layers.soil_between_m,
        "no_data_factor": layers.no_data_factor,
        "shortest_share": layers.shortest_share,
        "shortest_share_sloping": layers.shortest_share_sloping,
        "shortest": layers.shortest_m,
        "anchorage": layers.anchorage_m,
        "spacing": layers.spacing_m,
        "friction_share": layers.friction_share,
        "scale": layers.scale,
    }


@rows("places", "plain")
def test_plain_rules_say_what_the_source_says(catalog: Catalog, row: Row) -> None:
    """Each figure of the plain rules, with who says so."""
    found = of_place(catalog.jurisdictions["plain"].core)[row["rule"]]
    expected = figure(row["figure"])
    assert found == (expected if isinstance(expected, str) else pytest.approx(expected, rel=1e-12))
    assert row["source"]
    assert row["sure"] in ("looked up", "memory", "practice")


@pytest.mark.parametrize(
    ("entry", "row"),
    [(entry, row) for entry, found in DATA["bases"].items() for row in found],
    ids=lambda each: each if isinstance(each, str) else each["rule"],
)
def test_rule_books_say_what_the_source_says(catalog: Catalog, entry: str, row: Row) -> None:
    """Each figure of both rule books, with who says so."""
    found = of_basis(catalog.screening_bases[entry].core)[row["rule"]]
    assert found == pytest.approx(figure(row["figure"]), rel=1e-12)
    assert row["source"]
    assert row["sure"] in ("looked up", "memory", "practice")


def of(table: list[Row], key: str, name: str) -> Row:
    """The row of a table whose key begins so."""
    return next(row for row in table if row[key].startswith(name))


def test_factors_of_the_highway_manual_are_those_of_an_open_library(catalog: Catalog) -> None:
    """Tables 4-2, 4-5 and 4-7: weight 1.00 to 1.35, thrust 1.50, sliding 1.0, bearing 0.65,
    sheets and their pullout 0.90."""
    factors = catalog.screening_bases["fhwa"].core.factors
    upright = of(fhwa.table_4_2_permanent_load_factors(), "load_type", "EV Retaining")
    level = of(fhwa.table_4_2_permanent_load_factors(), "load_type", "EH Active")
    assert (factors.weight_low, factors.weight_high) == (upright["gamma_min"], upright["gamma_max"])
    assert factors.soil == level["gamma_max"]
    outside = fhwa.table_4_5_external_resistance()
    for name, found in (("Sliding", factors.sliding), ("Bearing", factors.bearing)):
        assert found == of(outside, "failure_mode", name)["phi_factor"]
    inside = fhwa.table_4_7_internal_resistance()
    for name, found in (("Geosynthetic", factors.tension), ("Pullout", factors.pullout)):
        assert found == of(inside, "reinforcement_type", name)["static_phi"]


def test_lengths_of_the_highway_manual_are_those_of_an_open_library(catalog: Catalog) -> None:
    """Table 2-1: 0.7 of the height, 0.8 under a slope, 8 ft at least."""
    layers = catalog.screening_bases["fhwa"].core.layers
    plain = of(fhwa.table_2_1_min_reinforcement_length(), "condition", "Static")
    sloping = of(fhwa.table_2_1_min_reinforcement_length(), "condition", "Sloping")
    assert layers.shortest_share == plain["L_over_H"]
    assert layers.shortest_m == pytest.approx(ft(plain["min_length_ft"]))
    assert layers.shortest_share_sloping == sloping["L_over_H"]


@pytest.mark.parametrize("units", [US, METRIC], ids=["us", "metric"])
def test_deep_cut_counts_in_feet_in_both_unit_sets(catalog: Catalog, units: UnitSet) -> None:
    """1.51 m is over the 1.5 m that metric editions print, and under 5 ft: still the section's
    slope; 1.53 m is not."""
    rules = catalog.jurisdictions["plain"].core.earth
    upright = dig_section(cut_slope=0.0)
    # the trench reaches 14 in under the front grade: 7 courses of 8 in for 4 ft, and 6 in of pad
    for deep_m, slope in ((1.51, 0.0), (1.53, 1.5)):
        level = deep_m / 0.3048 - 14 / 12
        wall = ground_wall(
            (0, 4, 0, level),
            (40, 4, 0, level),
            graded_in_front_m=ft(3),
            graded_behind_m=ft(12),
        )
        found = dug(wall, upright, system(cap=None), of=soil(), units=units, rules=rules)
        assert found.deepest_m == pytest.approx(deep_m)
        assert found.cut_slope == slope


def test_highway_rule_book_without_a_plumb_limit_is_refused() -> None:
    """Its pressure and plane are those of a plumb face up to a batter that the file states."""
    text = (shipped_folder() / "screening_bases" / "fhwa.toml").read_text(encoding="utf-8")
    tables = with_text_dates(tomllib.loads(text))
    del tables["wall"]["plumb_under"]
    with pytest.raises(ValidationError, match="plumb"):
        ScreeningBasisDocument.model_validate(tables)
