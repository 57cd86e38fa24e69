"""The numbered rules, and everything that cites them or a row of outside values."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from service.core.job.section import GROUPS
from service.core.job.terms import Profit, Terms
from service.core.price.roll_up import Amount, margin_of, roll_up, share_of
from tests.given.earth import dig_section, dug, ground_wall, to_ft3
from tests.given.walls import (
    CORNER_UNIT,
    entry,
    ft,
    inch,
    laid,
    legs,
    level_wall,
    straight,
    system,
    to_ft,
    to_ft2,
    to_inch,
    to_yd3,
    wall,
)

ROOT = Path(__file__).resolve().parents[2]
FIGURES = ROOT / "openapi" / "figures"
PAGE = (ROOT / "openapi" / "RULES.md").read_text(encoding="utf-8")
FOLDERS = ("service", "tests", "catalog", "migrations", "openapi")
SUFFIXES = (".py", ".toml", ".md", ".json", ".txt", ".svg")
RULE = r"\d+(?:\.\d+)?"
CITED_RULES = re.compile(rf"\brules? ({RULE}(?:(?:, | and | to ){RULE})*)", re.IGNORECASE)
CITED_FILE = re.compile(r"tests/reference/(\w+)\.toml(?:: ([\w-]+))?")
# In a file that names its source once, a row by what it is: "stack G2", "walls Q1".
CITED_SHORT = re.compile(r"\b(?:stack|wall)s? ([A-Z]\d)\b", re.IGNORECASE)
# Pages that no reader has, and letters that only those pages explain.
UNREACHABLE = re.compile(
    r"contract (?:of this service|section)|\b(?<!import )the contract\b|contract's"
    r"|contracts?_s?_?(?:says|does|order|pairs)|reference[ ]sheet|\bsets? [A-Z]\d\b",
    re.IGNORECASE,
)


@cache
def texts() -> Mapping[str, str]:
    """Every text that may cite, by its path from the root; the made ones of this file left out."""
    files = [ROOT / "README.md", ROOT / "DEVELOPERS.md"]
    files += [
        file
        for folder in FOLDERS
        for file in sorted((ROOT / folder).rglob("*"))
        if file.suffix in SUFFIXES and "__pycache__" not in file.parts and file != Path(__file__)
    ]
    return {f.relative_to(ROOT).as_posix(): f.read_text(encoding="utf-8") for f in files}


def numbers(page: str) -> list[str]:
    """The numbers of a page of rules: its headings and the paragraphs under them, in order."""
    return re.findall(rf"^(?:## |\*\*)({RULE})(?:\. |\*\*)", page, re.MULTILINE)


def ids(name: str) -> set[str]:
    """What a file of outside values can be cited by: its tables, and each `id` and `case`."""
    file = ROOT / "tests" / "reference" / f"{name}.toml"
    return set(_ids(tomllib.loads(file.read_text(encoding="utf-8")))) if file.exists() else set()


def _ids(table: object) -> Iterator[str]:
    if isinstance(table, Mapping):
        yield from (key for key, value in table.items() if isinstance(value, (dict, list)))
        yield from (str(table[key]) for key in ("id", "case") if key in table)
        table = list(table.values())
    if isinstance(table, list):
        for value in table:
            yield from _ids(value)


def dead(text: str) -> list[str]:
    """What a text cites that isn't there, and phrases that lead nowhere."""
    known = set(numbers(PAGE))
    files = dict(CITED_FILE.findall(text))
    return [
        *(
            f"rule {number}"
            for cited in CITED_RULES.findall(text)
            for number in re.findall(RULE, cited)
            if number not in known
        ),
        *(
            f"tests/reference/{name}.toml: {row}"
            for name, row in CITED_FILE.findall(text)
            if not ids(name) or (row and row not in ids(name))
        ),
        *(
            f"row {row}"
            for row in CITED_SHORT.findall(text)
            if files
            if not any(row in ids(name) for name in files)
        ),
        *UNREACHABLE.findall(text),
    ]


def test_rules_are_numbered_without_gap() -> None:
    """Rules count from 1, and the parts of each from 1."""
    expected: list[str] = []
    last = part = 0
    for number in numbers(PAGE):
        if "." not in number:
            last, part = last + 1, 0
            expected.append(str(last))
        else:
            part += 1
            expected.append(f"{last}.{part}")
    assert numbers(PAGE) == expected
    assert last > 14


def test_rules_page_links_to_each_rule() -> None:
    """The table at the head has every rule, and its links lead to the headings."""
    headings = re.findall(r"^## ((\d+)\. .+)$", PAGE, re.MULTILINE)
    anchors = {re.sub(r"[^\w -]", "", text).lower().replace(" ", "-"): n for text, n in headings}
    assert {to: n for n, to in re.findall(r"\[(\d+)\]\(#([^)]+)\)", PAGE)} == anchors


def test_citations_lead_somewhere() -> None:
    """Every rule and every outside value that is cited is there; nothing cites what isn't."""
    found = {path: dead(text) for path, text in texts().items()}
    assert {path: lost for path, lost in found.items() if lost} == {}
    cited = [n for text in texts().values() for n in CITED_RULES.findall(text)]
    assert len(cited) > 50


@pytest.mark.parametrize(
    ("text", "lost"),
    [
        ("see rule 99", ["rule 99"]),
        ("Rules 6 and 6.99.", ["rule 6.99"]),
        ("rules 1 to 12, rule 14.8", []),
        ("tests/reference/no_such.toml", ["tests/reference/no_such.toml: "]),
        ("tests/reference/gravity.toml: G9", ["tests/reference/gravity.toml: G9"]),
        ("tests/reference/gravity.toml: G2", []),
        ("tests/reference/gravity.toml; stack G2", []),
        ("tests/reference/gravity.toml; stack G9", ["row G9"]),
        ("contract " + "section 4, 13", ["contract " + "section"]),
        ("by the contract" + "'s order", ["the contract"]),
        ("the reference " + "sheet says", ["reference " + "sheet"]),
        ("set " + "S1 shows", ["set " + "S1"]),
        ("the import contract", []),
    ],
)
def test_dead_finds_citations_that_lead_nowhere(text: str, lost: list[str]) -> None:
    """A made text with a dead citation is found out, a sound one is not."""
    assert dead(text) == lost


def test_figures_are_drawings_of_their_own() -> None:
    """Four figures, each on the page once, with a title, in the page's own font and nothing else
    from outside."""
    shown = re.findall(r"!\[[^\]]+\]\(figures/([\w-]+\.svg)\)", PAGE)
    assert sorted(shown) == sorted(file.name for file in FIGURES.iterdir())
    assert len(shown) == 4
    for name in shown:
        text = (FIGURES / name).read_text(encoding="utf-8")
        (title, *_) = ET.fromstring(text)  # noqa: S314  files of this repository
        assert title.tag.endswith("}title")
        assert not re.search(r"href|url\(|@import|font-face|<image", text)
        assert "prefers-color-scheme: dark" in text


def test_rules_give_the_order_of_groups() -> None:
    """Rule 17.1 names the groups in the order in which lines stand."""
    (text,) = re.findall(r"^\*\*17\.1\*\* (.+)$", PAGE, re.MULTILINE)
    assert re.findall(r"`(\w+)`", text) == list(GROUPS)


def says(*phrases: str) -> bool:
    """Whether the page says all of this."""
    return all(phrase in PAGE for phrase in phrases)


def test_example_of_the_level_grid() -> None:
    """The wall drawn under rule 3: its joints, steps of base and top, caps."""
    profile = (
        entry(0.0, ft(4), 0.0),
        entry(ft(12), ft(4), inch(6)),
        entry("end", inch(32), inch(12)),
    )
    drawn = laid(wall((straight(ft(24)),), profile), system())
    joints = [round(to_inch(drawn.grid.level_m(k))) for k in range(0, -8, -1)]
    assert joints == [44, 36, 28, 20, 12, 4, -4, -12]
    assert [(round(to_ft(s.station_m), 9), s.courses) for s in drawn.steps] == [(4, 1), (20, 1)]
    assert [(round(to_ft(c.length_m), 9), c.units) for c in drawn.caps] == [(19, 13), (6, 4)]
    assert says("44, 36, 28, 20, 12, 4, −4 and −12 in", "228 / 18 in is 13 caps", "6 ft: 4 caps")


def test_example_of_units_at_a_corner() -> None:
    """Rule 6: 13, 7 and a corner unit, then 13, 6 and a corner unit on the other leg."""
    plan = legs("outside", 90, ft(20), ft(10))
    found = laid(level_wall(plan), system(corner=CORNER_UNIT))
    runs = [course.runs[0].legs for course in found.courses[:2]]
    counts = [[(leg.standard_units, leg.corner_units) for leg in run] for run in runs]
    assert counts == [[(13, 1), (7, 0)], [(13, 0), (6, 1)]]
    assert says("(120 − 9) / 18 is 7, and 1 corner unit", "(119 − 18) / 18 is 6, and 1 corner unit")


def test_example_of_areas() -> None:
    """Rule 8: 186.67, 160 and 200 ft² of a wall of 40 ft."""
    found = laid(level_wall(), system())
    areas = (found.face_area_m2, found.exposed_area_m2, found.pay_face_area_m2)
    assert [round(to_ft2(area), 2) for area in areas] == [186.67, 160, 200]
    assert says("= 186.67 ft²", "exposed area 160 ft²", "= 200 ft²")


def test_example_of_excavation() -> None:
    """The section drawn under rule 13: 17.5, 12.19 and 2 ft² a foot, over 40 ft in yards."""
    spec = ground_wall((0, 4, 0, 1.5), (40, 4, 0, 1.5), existing_slope=0.25)
    earth = dug(spec, dig_section(stops_below_top=inch(8)), system(setback=inch(0.75)))
    volumes = (earth.cut_m3, earth.backfill_m3, earth.fill_m3)
    assert [to_ft3(volume) / 40 for volume in volumes] == pytest.approx([17.5, 1755 / 144, 2])
    assert [round(to_yd3(volume), 2) for volume in volumes] == [25.93, 18.06, 2.96]
    assert says("25.93 yd³ of cut, 18.06 of backfill and 2.96 of fill")


def test_example_of_the_roll_up() -> None:
    """The amounts drawn under rule 15, from direct cost to deposit and margin."""
    terms = Terms(
        overhead_share=Decimal("0.10"),
        contingency=Decimal("0.05"),
        profit=Profit(basis="markup", share=Decimal("0.20")),
        discount=Decimal(260),
    )
    sums = roll_up(Amount(Decimal("10000.00"), ""), Decimal(0), terms, 2)
    tax = share_of(Decimal("0.07"), Decimal("5440.00"), "", 2).value
    total = sums.subtotal.value + tax
    amounts = [sums.overhead, sums.contingency, sums.profit, sums.discount, sums.subtotal]
    figures = [f"{value:,.2f}" for value in (*(each.value for each in amounts), tax, total)]
    drawn = (FIGURES / "roll-up.svg").read_text(encoding="utf-8")
    assert [figure for figure in figures if f">{figure}<" not in drawn] == []
    assert says(f"deposit of 30 % is {share_of(Decimal('0.30'), total, '', 2).value:,}")
    assert says(f"/ 13,600.00 = {margin_of(sums)[0]}")
