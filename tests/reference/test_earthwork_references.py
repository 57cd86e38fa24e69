"""Earthwork against outside figures: volume states, loads, volumes between sections.

The figures stand in earthwork.toml with their source, tolerance and verdict. Results of known
mistakes stand beside the right ones, and the tests show that they differ.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from service.catalog import CatalogInvalidError, read_catalog
from service.core.ground.balance import bank_m3, loads, loose_m3
from service.core.ground.region import Line, Region, moments
from service.core.ground.volume import prismoidal
from service.core.job.machine import Truck
from service.core.job.soil import Soil
from tests.given.catalog_files import write_folder
from tests.given.earth import PCF, soil
from tests.given.reference_tables import Row, read_tables, rows_of

DATA = read_tables("earthwork")
rows = rows_of(DATA)
SOIL_FILE = """\
id = "of_source"
version = "1"
title = "Soil of the source"
[source]
kind = "invented"
[strength]
friction_angle = "30 deg"
cohesion = "0 psf"
[weight]
bank = "{bank} lb/yd3"
loose = "{loose} lb/yd3"
compacted = "{compacted} lb/yd3"
[volume]
swell = "{swell}"
shrink = "{shrink}"
[excavation]
class = "C"
reusable = true
"""
YD3 = 0.9144**3
TON = 907.18474
VERDICTS = ("exact", "rounded", "differs")


def within(table: str, expected: float) -> object:
    """The printed figure with the table's tolerance."""
    return pytest.approx(expected, rel=0, abs=DATA[table]["tolerance"])


def soil_by(to_loose: float, to_compacted: float) -> Soil:
    """A soil by what one bank volume becomes."""
    return soil(swell=f"{to_loose - 1:.4f}", shrink=f"{1 - to_compacted:.4f}")


def chain(areas: Sequence[float], spacing: float) -> float:
    """Prismoids over each two intervals."""
    return sum(prismoidal(2 * spacing, *areas[i : i + 3]) for i in range(0, len(areas) - 2, 2))


def trapezoid(bottom: float, slope: float, depth: float) -> float:
    """Area of a section with two slopes (run over rise)."""
    region = Region()
    reach = slope * depth
    level = Line(0.0, depth)
    if slope > 0:
        region.add([level], [Line(0.0, 0.0, -1 / slope)], -reach, 0.0)
        region.add([level], [Line(bottom, 0.0, 1 / slope)], bottom, bottom + reach)
    region.add([level], [Line(0.0, 0.0)], 0.0, bottom)
    return moments(region.trapezoids)[0]


def cut_and_fill(start: float, finish: float, length: float) -> tuple[float, float]:
    """Areas over and under a line that changes from one height to another."""
    line, zero = Line(0.0, start, (finish - start) / length), Line(0.0, 0.0)
    over, under = Region(), Region()
    over.add([line], [zero], 0.0, length)
    under.add([zero], [line], 0.0, length)
    return moments(over.trapezoids)[0], moments(under.trapezoids)[0]


@pytest.mark.parametrize("table", DATA)
def test_earthwork_toml_names_its_sources(table: str) -> None:
    """Every table says where its figures come from, how sure they are, and what came out."""
    assert DATA[table]["source"]
    assert DATA[table]["sure"] in ("published", "computed")
    assert DATA[table]["verdict"] in VERDICTS
    assert DATA[table]["tolerance"] > 0


@rows("states")
def test_two_numbers_give_all_states_of_a_soil(row: Row) -> None:
    """Swell and shrink alone give the other four factors."""
    earth = soil_by(row["bl"], row["bc"])
    loose, bank = loose_m3(1.0, earth), bank_m3(1.0, earth)
    assert loose == within("states", row["bl"])
    assert 1 / bank == within("states", row["bc"])
    assert 1 / loose == within("states", row["lb"])
    assert 1 / (bank * loose) == within("states", row["lc"])
    assert bank == within("states", row["cb"])
    assert bank * loose == within("states", row["cl"])


@rows("haul")
def test_balance_hauls_what_the_textbook_hauls(row: Row) -> None:
    """Bank soil swells, a fill takes more bank soil, loads are rounded up."""
    earth = soil(swell=row["swell"], shrink=row.get("shrink", "0"), loose_pcf=1.0)
    bank = (
        bank_m3(row["compacted_yd3"] * YD3, earth)
        if "compacted_yd3" in row
        else (row["bank_yd3"] * YD3)
    )
    loose = loose_m3(bank, earth)
    truck = Truck(volume_m3=row["truck_yd3"] * YD3, payload_kg=1e9)
    assert bank / YD3 == within("haul", row["bank_yd3"])
    assert loose / YD3 == within("haul", row["loose_yd3"])
    assert loads(loose, earth, truck) == row["loads"]


@rows("densities")
def test_densities_agree_with_the_published_swell(row: Row, tmp_path: Path) -> None:
    """A soil file with the source's weights takes the source's swell and shrink, and no swell that
    is 5 % of the loose weight off."""

    def weights_disagree(swell: float) -> bool:
        compacted = row.get("compacted", row["bank"])
        text = SOIL_FILE.format(
            bank=row["bank"],
            loose=row["loose"],
            compacted=compacted,
            swell=f"{swell:.4f}",
            shrink=f"{1 - row.get('shrink_factor', 1):.4f}",
        )
        try:
            read_catalog([write_folder(tmp_path, {"soils/of_source.toml": text})])
        except CatalogInvalidError as error:
            return any(fault.code == "weights-disagree" for fault in error.faults)
        return False

    swell = row["swell_percent"] / 100
    assert not weights_disagree(swell)
    assert weights_disagree(swell + 0.05 * (1 + swell))
    assert weights_disagree(swell - 0.05 * (1 + swell))


@rows("chains")
def test_prismoidal_adds_up_a_chain_of_sections(row: Row) -> None:
    """An odd number of sections; means of their ends would give another printed figure."""
    areas = row.get("areas") or [
        trapezoid(row["bottom"], row["slope"], depth) for depth in row["depths"]
    ]
    volume = chain(areas, row["spacing"])
    assert volume == within("chains", row["prismoidal"])
    assert volume != within("chains", row["end_areas"])


@rows("pits")
def test_prismoidal_is_exact_for_four_sloped_sides(row: Row) -> None:
    """Bottom, middle and top of the pit; the printed mean of bottom and top is too large."""
    areas = [
        (row["length"] + 2 * row["slope"] * depth) * (row["width"] + 2 * row["slope"] * depth)
        for depth in (0, row["depth"] / 2, row["depth"])
    ]
    volume = prismoidal(row["depth"], *areas)
    assert volume == within("pits", row["volume"])
    # (2 z)^2 d^3 / 6 too much
    over = (2 * row["slope"]) ** 2 * row["depth"] ** 3 / 6
    assert row["end_areas"] - volume == within("pits", over)


@rows("trenches")
def test_region_gives_trenches_by_slope(row: Row) -> None:
    """The same trench upright and at the slopes of each soil class."""
    assert 50 * trapezoid(2.0, row["slope"], 3.0) / 27 == within("trenches", row["yd3"])


@rows("back_cuts")
def test_region_gives_the_cut_behind_a_wall(row: Row) -> None:
    """A level bottom of 2 ft and one slope, 5 ft deep: class C takes a quarter more than 1:1."""
    region, ground = Region(), Line(0.0, 5.0)
    region.add([ground], [Line(0.0, 0.0)], 0.0, 2.0)
    region.add([ground], [Line(2.0, 0.0, 1 / row["slope"])], 2.0, 2.0 + 5 * row["slope"])
    volume = 40 * moments(region.trapezoids)[0] / 27
    assert volume == within("back_cuts", row["yd3"])


@rows("half_vertical")
def test_prismoidal_is_exact_where_the_upper_part_slopes(row: Row) -> None:
    """Depths of 5, 7 and 9 ft; the printed mean of the ends is 8.5 % too large."""
    areas = [3.0 * 4 + trapezoid(3.0, 1.0, depth - 4.0) for depth in (5.0, 7.0, 9.0)]
    volume = prismoidal(100, *areas)
    assert volume == within("half_vertical", row["volume"])
    assert volume / 27 == within("half_vertical", row["yd3"])
    over = 100 * (9 - 5) ** 2 / 6
    assert row["end_areas"] - volume == within("half_vertical", over)
    assert row["end_yd3"] - volume / 27 == within("half_vertical", over / 27)


@rows("grid_cell")
def test_cell_of_a_grid_takes_the_mean_of_its_corners(row: Row) -> None:
    """Two opposite sides and the section between them hold the printed mean depth."""
    near, far = (
        cut_and_fill(a - row["finished"], b - row["finished"], row["side"])[1]
        for a, b in (row["corners"][:2], row["corners"][2:])
    )
    volume = prismoidal(row["side"], near, (near + far) / 2, far)
    assert volume / row["side"] ** 2 == pytest.approx(row["finished"] - row["average"])
    assert volume / 27 == within("grid_cell", row["yd3"])


@rows("mixed_cells")
def test_region_keeps_cut_and_fill_of_a_cell_apart(row: Row) -> None:
    """Sections at both sides and in the middle: netting would hide all of it."""
    a, b, c, d = row["corners"]
    sections = [
        cut_and_fill(a + share * (b - a), c + share * (d - c), 10.0) for share in (0.0, 0.5, 1.0)
    ]
    cut, fill = (prismoidal(10.0, *column) for column in zip(*sections, strict=True))
    assert cut == within("mixed_cells", row["cut"])
    assert fill == within("mixed_cells", row["fill"])


def haul_net(shrunk: float) -> list[float]:
    """Net areas of the haul example, its fill times a factor."""
    table = DATA["haul_line"]
    return [cut - fill * shrunk for cut, fill in zip(table["cut"], table["fill"], strict=True)]


def test_haul_line_takes_fill_as_bank_soil() -> None:
    """The printed net areas: what is filled takes more of the cut than its own volume."""
    areas = haul_net(bank_m3(1.0, soil(shrink="0.10")))
    assert areas == [within("haul_line", net) for net in DATA["haul_line"]["net"]]


def test_haul_line_keeps_cut_and_fill_apart_where_it_crosses() -> None:
    """Between the last two stations the net of 100 hides 266 of fill and 366 of cut."""
    areas = haul_net(1 / 0.9)
    cut, fill = cut_and_fill(areas[-2], areas[-1], 100)
    expected = DATA["haul_line"]["crossing"]
    assert (fill, cut) == pytest.approx((expected["fill"], expected["cut"]), abs=0.005)


@rows("payload")
def test_loads_stop_at_the_payload(row: Row) -> None:
    """What fits by weight is one load, a little more is two, though the box would hold it."""
    wet = soil(loose_pcf=row["ton_per_yd3"] * TON / YD3 / PCF)
    truck = Truck(volume_m3=row["truck_yd3"] * YD3, payload_kg=row["payload_ton"] * TON)
    off = DATA["payload"]["tolerance"]
    assert loads((row["fits_yd3"] - off) * YD3, wet, truck) == 1
    assert loads((row["fits_yd3"] + off) * YD3, wet, truck) == 2


@rows("no_shrink")
def test_surplus_without_shrink_is_wrong(row: Row) -> None:
    """Backfill is compacted: taken as bank soil it leaves a tenth too much over."""
    earth = soil()
    surplus = row["cut"] - bank_m3(row["backfill"], earth)
    assert surplus == within("no_shrink", row["surplus"])
    assert row["wrong_bank"] / surplus == pytest.approx(1.107, abs=5e-4)
    wrong = loose_m3(row["wrong_bank"], earth)
    assert wrong == pytest.approx(row["wrong_loose"], abs=5e-4)
