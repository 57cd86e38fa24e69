"""The lifting equation against lifting.toml."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from service.core.job.lifting import (
    METRIC,
    US,
    Lift,
    lifting_index,
    multipliers,
    weight_limit_kg,
)
from tests.given.reference_tables import Row
from tests.given.statics import deg
from tests.given.walls import inch

DATA: dict[str, Row] = tomllib.loads(
    Path(__file__).with_name("lifting.toml").read_text(encoding="utf-8")
)
POUND = 0.45359237
UNIT = DATA["unit"]


def lift_of(row: Row) -> Lift:
    """The lift of a row."""
    return Lift(
        reach_m=inch(row["reach"]),
        hands_m=inch(row["hands"]),
        travel_m=inch(row["travel"]),
        twist_rad=deg(row.get("twist", 0)),
        frequency=row["frequency"],
        coupling=row["coupling"],
    )


manual = pytest.mark.parametrize("row", DATA["manual"]["rows"], ids=lambda row: row["name"])


@pytest.mark.parametrize("table", DATA)
def test_lifting_toml_names_its_sources(table: str) -> None:
    """Every table says where its figures come from and how sure they are."""
    assert DATA[table]["source"]
    assert DATA[table]["sure"] in ("computed", "published")


@manual
def test_weight_limit_is_the_full_precision_figure(row: Row) -> None:
    """The manual's examples without its rounding of each multiplier."""
    found = weight_limit_kg(lift_of(row), US) / POUND
    assert found == pytest.approx(row["full"], abs=DATA["manual"]["tolerance_full"])


@manual
def test_multipliers_of_two_decimals_give_the_printed_limit(row: Row) -> None:
    """Rounded as the manual rounds them, the multipliers give its printed limits and index."""
    exact = multipliers(lift_of(row), US)
    rounded = replace(
        exact,
        reach=row.get("table_reach", round(exact.reach, 2)),
        hands=round(exact.hands, 2),
        travel=round(exact.travel, 2),
    )
    limit = US.load * rounded.product
    assert limit == pytest.approx(row["rounded"], abs=DATA["manual"]["tolerance_rounded"])
    if "index" in row:
        assert lifting_index(row["weight"], limit) == pytest.approx(row["index"], abs=0.05)


def test_weight_limit_of_a_unit_flags_a_second_person() -> None:
    """82 lb at 15 in: 19.58 lb are the limit, four times less than the unit weighs."""
    limit = weight_limit_kg(lift_of(UNIT), US)
    assert limit / POUND == pytest.approx(UNIT["us_lb"], abs=UNIT["tolerance_lb"])
    index = lifting_index(UNIT["weight"] * POUND, limit)
    assert index == pytest.approx(UNIT["index"], abs=UNIT["tolerance_index"])


def test_metric_constants_are_no_conversion_of_the_others() -> None:
    """The same lift by the metric constants: 8.689 kg, which is 19.16 and not 19.58 lb."""
    found = weight_limit_kg(lift_of(UNIT), METRIC)
    assert found == pytest.approx(UNIT["metric_kg"], abs=UNIT["tolerance_kg"])
    assert found / POUND == pytest.approx(UNIT["metric_lb"], abs=UNIT["tolerance_lb"])
    assert not math.isclose(found, weight_limit_kg(lift_of(UNIT), US), rel_tol=0.02)
