"""Site work against site_work.toml: values that were worked out without this program."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from service.catalog import Catalog
from service.core.job.site_task import SiteTask
from service.core.labor.hours import done_by
from tests.given.money import rates
from tests.given.site_work import asked, hours, line_of, site_task, site_work, sold, takes

Inputs = Mapping[str, Any]
ROWS = tomllib.loads(Path(__file__).with_name("site_work.toml").read_text(encoding="utf-8"))["row"]
CUBIC_FOOT = 0.3048**3
LAY_SOD = site_task("lay_sod", by="area", unit="ft2", materials=[takes("sod", "1", "ft2")])


def sod_pieces(_: Catalog, inputs: Inputs) -> float:
    """Sod by the piece: each is a pack of its own area."""
    wide, long = inputs["piece_in"]
    piece = sold("sod", pack=(str(wide * long), "in2", "length"))
    found = site_work(asked(LAY_SOD, inputs["area_ft2"]), materials=[piece])
    return float(line_of(found, "sod").order)


def sod_pallets(catalog: Catalog, inputs: Inputs) -> float:
    """The shipped task, waste and pallet."""
    task, pallet = catalog.site_work["lay_sod"].core, catalog.materials["sod"].core
    found = site_work(asked(task, inputs["area_ft2"]), materials=[pallet])
    return float(line_of(found, "sod").order)


def topsoil(_: Catalog, inputs: Inputs) -> float:
    """Loose yards for an area and a depth in place, from what one square foot takes."""
    soil = sold(
        "topsoil", "yd3", increment="0.0000001", loose_per_in_place=float(inputs["settling"])
    )
    depth = takes("topsoil", inputs["depth_in"], "ft3")
    task = site_task("spread", by="area", unit="ft2", materials=[depth])
    area = Fraction(inputs["area_ft2"]) / 12
    shown = Decimal(area.numerator) / Decimal(area.denominator)
    return float(line_of(site_work(asked(task, f"{shown}"), materials=[soil]), "topsoil").order)


def material_ft3(catalog: Catalog, inputs: Inputs) -> float:
    """What a shipped task takes of an item, in place."""
    found = site_work(asked(_task(catalog, inputs), inputs["quantity"]))
    return line_of(found, inputs["item"]).net / CUBIC_FOOT


def hours_at_output(_: Catalog, inputs: Inputs) -> float:
    """Hours of one worker at so many cubic meters an hour."""
    rate = hours(str(1 / Fraction(inputs["output_m3_h"])))
    task = site_task("trench", by="volume", unit="m3", labor=rate)
    volume = Decimal(inputs["volume_yd3"]) * Decimal("0.764554857984")
    (row,) = done_by("crew", site_work(asked(task, f"{volume}"), rates=rates()).work)
    return float(row.hours)


def hours_by_hand(catalog: Catalog, inputs: Inputs) -> float:
    """Hours of a shipped task where there is no machine."""
    entry = asked(_task(catalog, inputs), inputs["quantity"])
    (row,) = done_by("crew", site_work(entry, rates=rates()).work)
    return float(row.hours)


def _task(catalog: Catalog, inputs: Inputs) -> SiteTask:
    task: SiteTask = catalog.site_work[inputs["task"]].core
    return task


CHECKS: Mapping[str, Callable[[Catalog, Inputs], float]] = {
    "sod_pieces": sod_pieces,
    "sod_pallets": sod_pallets,
    "topsoil": topsoil,
    "material_ft3": material_ft3,
    "hours_at_output": hours_at_output,
    "hours_by_hand": hours_by_hand,
}


@pytest.mark.parametrize("row", ROWS, ids=[row["name"] for row in ROWS])
def test_site_work_agrees_with_outside_values(catalog: Catalog, row: Mapping[str, Any]) -> None:
    """Each value that was made or printed elsewhere comes out here too, within its rounding."""
    found = CHECKS[row["check"]](catalog, row["inputs"])
    assert found == pytest.approx(row["expected"], abs=row["tolerance"], rel=1e-12)


def test_every_row_says_where_it_comes_from() -> None:
    """Each row has a source, how sure it is, and a verdict."""
    for row in ROWS:
        assert row["source"]
        assert row["how_sure"]
        assert row["verdict"] in {"EXACT", "ROUND", "DIFF"}
