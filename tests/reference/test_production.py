"""Production against outside figures: three-point estimates, man-hours, cycles, compaction.

The figures stand in production.toml with their source, tolerance and how sure they are.
"""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from service.core.job.machine import Compaction
from service.core.job.measured import Measured
from service.core.labor.compaction import compacted_m3_per_hour
from service.core.labor.output import rate_of_cycle, rate_of_output
from service.core.measure import UNITS
from service.core.three_point import ThreePoint, one_figure
from tests.given.machines import YD3, three
from tests.given.money import crew, rates, scheduled, task
from tests.given.reference_tables import Row, read_tables, rows_of
from tests.given.walls import ft, inch

DATA = read_tables("production")
rows = rows_of(DATA)
FT2 = ft(1) * ft(1)


def near(table: str) -> float:
    """The table's tolerance."""
    return float(DATA[table]["tolerance"])


def figures(row: Row) -> ThreePoint:
    """Low, likely and high of a row."""
    return three(*row["figures"])


@pytest.mark.parametrize("table", DATA)
def test_production_toml_names_its_sources(table: str) -> None:
    """Every table says where its figures come from, how near, and how sure they are."""
    assert DATA[table]["source"]
    assert DATA[table]["tolerance"]
    assert DATA[table]["sure"] in ("computed", "published", "common practice")


@rows("three_point")
def test_three_point_gives_the_published_figures(row: Row) -> None:
    """Expected (a + 4m + b) / 6 and deviation (b - a) / 6, exactly."""
    found = figures(row)
    assert found.expected == Fraction(row["expected"])
    assert found.deviation == Fraction(row["deviation"])


@rows("beta")
def test_three_point_deviation_is_below_that_of_the_beta(row: Row) -> None:
    """The published convention understates the beta distribution by 2 to 12 %."""
    found = figures(row)
    mean = float(found.expected)
    exact = math.sqrt((mean - float(found.low)) * (float(found.high) - mean) / 7)
    assert exact == pytest.approx(float(row["exact"]), abs=near("beta"))
    assert 0.01 < 1 - float(found.deviation) / exact < 0.12


def test_schedule_adds_variances_over_tasks() -> None:
    """Six tasks come to 61.17 h, 64.50 h in four cases of five: 61.1667 + 0.8416 x 3.9616; the
    sum of deviations, or of each task's own point, would be too much."""
    table = DATA["sum_of_tasks"]
    walls: dict[Measured, tuple[tuple[str, float], ...]] = {"walls": (("wall-1", 1.0),)}
    tasks = [
        replace(task(f"task_{place}", by="walls"), hours_per_unit=three(*each))
        for place, each in enumerate(table["figures"])
    ]
    labor = scheduled(rates(*tasks), walls)
    variance = float(sum(each.variance for each in labor.tasks))
    assert math.sqrt(variance) == pytest.approx(float(table["deviation"]), abs=1e-4)
    mean = sum(float(three(*each).expected) for each in table["figures"])
    assert mean == pytest.approx(float(table["mean"]), abs=1e-4)
    # 8.67 + 13 + 6.17 + 21.67 + 8.33 + 3.33: each task is rounded to 0.01 h
    assert labor.labor_hours == Decimal("61.17")
    assert labor.labor_hours_high == Decimal("64.50")
    assert labor.labor_hours_low == Decimal("57.84")
    added = sum(each.hours_high for each in labor.tasks)
    assert labor.labor_hours_high < added < Decimal(table["each_high_added"])


@rows("man_hours")
def test_schedule_reproduces_man_hours_and_man_days(row: Row) -> None:
    """Man-hours per 1,000 ft2 times the area; eight hours make a man-day."""
    labor = scheduled(
        rates(
            task(by="face_area", hours=str(Decimal(row["per_1000"]) / 1000), unit="ft2"),
            crews=[crew(size=1)],
        ),
        {"face_area": (("wall-1", float(row["quantity_ft2"]) * FT2),)},
    )
    assert labor.labor_hours == Decimal(row["hours"])
    assert labor.crew_days == Decimal(row["days"])


def test_rate_times_delay_factor_gives_the_published_man_days() -> None:
    """66 man-days at 80 % efficiency are 66 x 67 / 80 = 55.275."""
    row = DATA["man_hours"]["delay_factor"]
    rate = one_figure(Decimal(row["per_1000"]) / 1000).times(Decimal(row["factor"]))
    assert rate.expected * Fraction(row["quantity_ft2"]) / 8 == Fraction(row["days"])


@rows("cycle")
def test_rate_of_cycle_gives_the_handbooks_output(row: Row) -> None:
    """Load x fill x 3600 / seconds x efficiency, in loose cubic yards an hour."""
    rate, words = rate_of_cycle(
        row["load_yd3"] * YD3,
        Decimal(row["fill"]),
        Decimal(row["seconds"]),
        Fraction(row["efficiency"]),
        UNITS["yd3"],
    )
    assert float(1 / rate.expected) == pytest.approx(float(row["per_h"]), abs=near("cycle"))
    assert words.endswith("yd3 per h")


@rows("compactor")
def test_compacted_volume_follows_the_manual(row: Row) -> None:
    """Q = 16.296 W S L E / N compacted cubic yards an hour."""
    compaction = Compaction(
        layers_m={"granular": inch(row["layer_in"])},
        width_m=ft(row["width_ft"]),
        travel_m_per_minute=ft(5280) * float(row["mph"]) / 60,
        passes=row["passes"],
        efficiency=Fraction(row["efficiency"]),
    )
    found = compacted_m3_per_hour(compaction, inch(row["layer_in"]))
    assert float(found) / YD3 == pytest.approx(float(row["per_h"]), abs=near("compactor"))


@rows("conversions")
def test_rate_of_output_converts_the_printed_rates(row: Row) -> None:
    """An output in m3 an hour is so many hours per cubic yard."""
    rate, _ = rate_of_output(one_figure(Decimal(row["m3_per_h"])), Fraction(1), UNITS["m3"])
    found = float(rate.expected) * YD3
    assert found == pytest.approx(float(row["h_per_yd3"]), abs=near("conversions"))


@pytest.mark.parametrize(
    ("output", "hours"), [("0.57", "firm_trench_10_yd3"), ("0.46", "clay_trench_10_yd3")]
)
def test_rate_of_output_times_ten_cubic_yards(output: str, hours: str) -> None:
    """10 yd3 of trench by one worker: 13.413 h in firm soil, 16.621 h in clay."""
    rate, _ = rate_of_output(one_figure(Decimal(output)), Fraction(1), UNITS["m3"])
    expected = float(DATA["conversions"][hours])
    assert float(rate.expected) * 10 * YD3 == pytest.approx(expected, abs=0.0005)
