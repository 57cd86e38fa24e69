"""Figures held against each other by `catalog check`: at each limit from both sides."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.catalog import Catalog, read_catalog
from service.catalog.comparisons import Finding, compare
from tests.given.catalog_files import SOIL, write_folder
from tests.given.compared import (
    BLOCK,
    CREEP,
    RATES,
    SHEET,
    SITE,
    SOUND_BLOCK,
    SOUND_RATES,
    SOUND_SITE,
    YARDSTICK,
)


def found_in(
    folder: Path,
    block: dict[str, str] | None = None,
    rates: dict[str, str] | None = None,
    site: dict[str, str] | None = None,
) -> list[tuple[str, str, bool]]:
    """(code, key, impossible) of what a small catalog with these changes is told."""
    files: dict[str, str | bytes] = {
        "yardsticks/stick.toml": YARDSTICK,
        "soils/demo.toml": SOIL,
        "wall_systems/block.toml": BLOCK.format(**{**SOUND_BLOCK, **(block or {})}),
        "production_rates/rates.toml": RATES.format(**{**SOUND_RATES, **(rates or {})}),
        "site_work/dig_here.toml": SITE.format(**{**SOUND_SITE, **(site or {})}),
    }
    found = compare(read_catalog([write_folder(folder, files)]))
    return [(f.fault.code, ".".join(map(str, f.fault.at[1:])), f.impossible) for f in found]


def test_compare_finds_nothing_in_the_shipped_catalog(catalog: Catalog) -> None:
    """What comes with the service goes together."""
    assert compare(catalog) == ()


def test_compare_finds_nothing_where_all_agrees(tmp_path: Path) -> None:
    """A block of 126.7 pcf, a wall of 120 pcf with stone in its holes, rates as published."""
    assert found_in(tmp_path) == []


@pytest.mark.parametrize(
    ("weight", "laid", "impossible"),
    [
        ("90 lb", "115 pcf", None),  # 90 / 0.75 ft3 = 120 pcf, the least
        ("89.9 lb", "115 pcf", False),
        ("112.5 lb", "137.5 pcf", None),  # 150 pcf, the most
        ("112.6 lb", "137.5 pcf", False),
        ("45 lb", "70 pcf", False),  # 60 pcf, the least that is possible
        ("44.9 lb", "70 pcf", True),
        ("142.5 lb", "167.5 pcf", False),  # 190 pcf, the most
        ("142.6 lb", "167.5 pcf", True),
    ],
)
def test_compare_weighs_units_as_concrete(
    tmp_path: Path, weight: str, laid: str, impossible: bool | None
) -> None:
    """Weight over volume without holes lies within what is usual, at least within the possible."""
    expected = [("unit-density", "units.standard.weight", impossible)]
    found = found_in(tmp_path, {"weight": weight, "laid": laid}, {"lift": "4000 lb"})
    assert found == ([] if impossible is None else expected)


@pytest.mark.parametrize(
    ("polymer", "creep", "impossible"),
    [
        ("polypropylene", "4.0", None),
        ("polypropylene", "3.99", True),
        ("polypropylene", "1.1", True),
        ("polypropylene", "5.0", None),
        ("polypropylene", "5.01", False),
        ("polyester", "1.59", True),
        ("polyester", "2.5", None),
        ("", "1.6", None),  # it may be the best of them
        ("", "1.59", True),
        ("", "7", None),
        ("polyethylene", "1.6", None),  # nothing is published of it here
        ("polyester", "", None),
    ],
)
def test_compare_holds_creep_against_the_polymer(
    tmp_path: Path, polymer: str, creep: str, impossible: bool | None
) -> None:
    """A factor below all that is published is refused, one above it warned of."""
    stated = f'polymer = "{polymer}"\n' if polymer else ""
    stated += f'creep_factor = "{creep}"\n' if creep else ""
    files = {
        "yardsticks/stick.toml": YARDSTICK + CREEP,
        "materials/sheet.toml": SHEET.format(stated=stated),
    }
    found = compare(read_catalog([write_folder(tmp_path, files)]))
    assert [(f.fault.code, f.impossible) for f in found] == (
        [] if impossible is None else [("creep-factor", impossible)]
    )


@pytest.mark.parametrize(
    ("laid", "found", "impossible"),
    [
        ("122.4 pcf", False, False),  # 95 lb + 0.25 ft3 at 100 pcf = 120 pcf, and 2 %
        ("122.5 pcf", True, False),
        ("117.6 pcf", False, False),
        ("117.5 pcf", True, False),
        ("93.2 pcf", True, False),  # the empty unit weighs 95 lb a ft3, 93.1 within 2 %
        ("93 pcf", True, True),
    ],
)
def test_compare_weighs_the_laid_wall(
    tmp_path: Path, laid: str, found: bool, impossible: bool
) -> None:
    """In place a wall weighs its units and the stone in them, never less than the units alone."""
    expected = [("in-place-weight-disagrees", "in_place.unit_weight", impossible)]
    assert found_in(tmp_path, {"laid": laid}) == (expected if found else [])


@pytest.mark.parametrize(
    ("site", "key"),
    [
        ({"labor": "1.224"}, None),  # 2 % over 1.2
        ({"labor": "1.225"}, "labor.hours"),
        ({"labor": "1.176"}, None),
        ({"labor": "1.175"}, "labor.hours"),
        ({"machine": "0.102"}, None),  # 2 % over a tenth of an hour
        ({"machine": "0.1021"}, "machine.hours"),
        ({"by_hand": "9"}, None),  # break_ground is in no rates: nothing to compare
    ],
)
def test_compare_wants_one_rate_for_the_same_work(
    tmp_path: Path, site: dict[str, str], key: str | None
) -> None:
    """Site work and production rates give the same work the same hours within 2 %."""
    found = [entry for entry in found_in(tmp_path, site=site) if entry[0] == "same-work-twice"]
    assert found == ([("same-work-twice", key, False)] if key else [])


@pytest.mark.parametrize(
    ("rates", "code"),
    [
        ({"lift": "1900 lb"}, None),  # a pallet of 20 x 95 lb
        ({"lift": "1899 lb"}, "pallet-over-lift"),
        ({"lift": "1899 lb", "broken": "true"}, None),
        # half of 1.714 yd3 of soil of 86.4 pcf are 1,999 lb, half of 1.715 yd3 2,000.4 lb
        ({"load": "1.714 yd3"}, None),
        ({"load": "1.715 yd3"}, "load-over-lift"),
        ({"lift": "6499 lb"}, None),
        ({"lift": "6500 lb"}, "lift-over-weight"),
    ],
)
def test_compare_holds_loads_against_what_machines_lift(
    tmp_path: Path, rates: dict[str, str], code: str | None
) -> None:
    """No machine is given more than it lifts, and none lifts its own weight."""
    found = found_in(tmp_path, rates=rates)
    assert [entry[0] for entry in found] == ([code] if code else [])
    assert [entry[2] for entry in found] == ([code == "lift-over-weight"] if code else [])


@pytest.mark.parametrize(
    ("rates", "key"),
    [
        ({"by_hand": "3.6"}, None),  # 3 x 1.2
        ({"by_hand": "3.61"}, "tasks.dig_by_hand"),
        ({"by_hand": "0.4"}, None),
        ({"by_hand": "0.39"}, "tasks.dig_by_hand"),
        ({"carried": "3"}, None),  # 0.5 h for 50 ft is 1 h for 100 ft
        ({"carried": "3.01"}, "tasks.carry_by_hand"),
        ({"carried": "0.33"}, "tasks.carry_by_hand"),
        ({"output": "2.78"}, None),  # 3 x 0.12 h a yd3 is 2.78 yd3 an hour
        ({"output": "2.77"}, "machine_tasks.dig"),
        ({"output": "33.3"}, None),  # a third of 0.09 h is 33.3 yd3 an hour
        ({"output": "33.4"}, "machine_tasks.dig"),
    ],
)
def test_compare_warns_of_rates_far_from_published_ones(
    tmp_path: Path, rates: dict[str, str], key: str | None
) -> None:
    """Three times what is published, or a third of it, is as far as a rate may lie."""
    found = [e for e in found_in(tmp_path, rates=rates) if e[0] == "rate-far-from-published"]
    assert found == ([("rate-far-from-published", key, False)] if key else [])


@pytest.mark.parametrize(("labor", "far"), [("3.6", False), ("3.61", True), ("0.39", True)])
def test_compare_warns_of_site_work_far_from_published_rates(
    tmp_path: Path, labor: str, far: bool
) -> None:
    """The same for tasks of site work that a yardstick names."""
    found = found_in(tmp_path, site={"labor": labor})
    far_off = ("rate-far-from-published", "labor.hours", False)
    assert (far_off in found) is far


def test_compare_says_what_would_be_right(tmp_path: Path) -> None:
    """A finding names the file and the key, what was found and what would be right."""
    found_in(tmp_path, {"weight": "80 lb"}, {"by_hand": "4"})
    findings: tuple[Finding, ...] = compare(read_catalog([tmp_path]))
    said = {f.fault.code: f"{f.fault.message}; {f.fault.hint}" for f in findings}
    assert "106.7 pcf" in said["unit-density"]
    assert "120.0 pcf" in said["unit-density"]
    assert "105.0 pcf" in said["in-place-weight-disagrees"]
    assert "comes to 4 h per yd3" in said["rate-far-from-published"]
    assert "1.2 to 1.2 h" in said["rate-far-from-published"]
