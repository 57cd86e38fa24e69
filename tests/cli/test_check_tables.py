"""Checks, their summary and the price of layers, as the command line shows them."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest

from service.cli.columns import console_for
from service.cli.tables import print_quote
from service.operations.quoting.quote import quote_document
from tests.given.catalogs import shipped_catalog
from tests.given.lawn_walls import lawn_request
from tests.given.quote_requests import Json

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "openapi/examples/quote_walls/plain_stack_fails.request.json"


@pytest.fixture(autouse=True)
def wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """As wide as in a pipe, wherever the tests run."""
    monkeypatch.delenv("COLUMNS", raising=False)


def shown(*, how: bool = False, **more: object) -> str:
    """The example as tables, with keys of its request replaced."""
    return printed({**json.loads(EXAMPLE.read_text(encoding="utf-8")), **more}, how=how)


def printed(request: Json, *, how: bool = False) -> str:
    """A quote as tables."""
    stream = io.StringIO()
    print_quote(console_for(stream), quote_document(request, shipped_catalog()), how=how)
    return stream.getvalue()


def row(text: str, check: str) -> list[str]:
    """The words of a check's row."""
    (line,) = re.findall(rf"^{check} .*$", text, re.MULTILINE)
    words: list[str] = line.split()
    return words


def test_print_quote_shows_each_check_with_its_figure() -> None:
    """7 courses of 122 pcf x 13 in, 616.78 lb/ft, and a cap of 66 lb on 17 in, 46.59: x tan 30
    deg; soil of 120 pcf, 5 ft, Ka 0.24951, level part 0.24323: 364.85 lb/ft. So 383.00 / 364.85 =
    1.0497, where 1.5 is needed."""
    text = shown()
    assert row(text, "base sliding")[4:9] == ["gravity", "fail", "1.0497", "at", "least"]
    assert row(text, "eccentricity")[-2:] == ["not", "checked"]
    assert "A licensed engineer must design it." in " ".join(text.split())


@pytest.mark.no_cover  # others run the same lines
def test_print_quote_shows_what_layers_change() -> None:
    """The difference is that of the two totals, and whether it is part of the price."""
    text = " ".join(shown().split())
    (found,) = re.findall(r"\(not in this price\): total (\S+) without, (\S+) with", text)
    plain, layered = map(float, found)
    assert f"difference {layered - plain:.2f} USD" in text
    assert "not in this price" not in shown(screening={"reinforcement": "where_needed"})
    assert "Layers of" not in shown(screening={"reinforcement": "none"})


def test_print_quote_shows_where_layers_lie() -> None:
    """Each layer with its wall, the course it lies on, its length and its stations, as the answer
    has them; the item by what it is, in the price or not."""
    path = EXAMPLE.with_name("two_tiers_under_a_drive.request.json")
    request = json.loads(path.read_text(encoding="utf-8"))
    text = printed(request)
    head, *_ = text.partition("LAYERS OF ")[2].splitlines()
    assert head == "SOIL REINFORCEMENT GRID, 6 FT WIDE, FROM THE FACE OF THE UNITS INTO THE SOIL"
    rows = [" ".join(line.split()) for line in text.splitlines()]
    answer = quote_document(request, shipped_catalog())
    layers = [(w.wall, each) for w in answer.screening.walls for each in w.layers or ()]
    assert len(layers) > 3
    for wall, each in layers:
        feet = [length.value for length in (each.length, each.from_station, each.to_station)]
        assert all(value.isdecimal() for value in feet)
        assert f"{wall} {each.course} {' ft '.join(feet)} ft" in rows
    assert "LAYERS OF SOIL REINFORCEMENT GRID, 6 FT WIDE" in shown()


def test_print_quote_says_how_checks_are_made() -> None:
    """With `how` the loads of the governing section, the defaults and what is missing."""
    text = " ".join(shown(how=True, soils={"retained": "silty_sand"}).split())
    assert "units and cap x tan 30 deg / (soil + load)" in text
    assert "rests on the default of soils, foundation" in text
    assert "missing: a slope stability analysis by a licensed engineer" in text


def lawn_wall(*, what_if: bool = False) -> str:
    """3 ft before a lawn: the wall that the tests of what would pass have, as people read it."""
    request = lawn_request("loam", what_if=what_if)
    return " ".join(printed(request).split())


def test_print_quote_shows_what_would_pass_and_how_to_ask_for_it() -> None:
    """Each change with the fields that ask for it; lower walls and deeper units apart."""
    text = lawn_wall()
    assert "Would pass: soil behind the wall to the underside of the cap wall 1" in text
    assert "wall 1, profile entry 1, back grade: 2 ft 7 7/8 in" in text
    assert "Would pass: sand or gravel as fill soils, fill: sand_gravel" in text
    assert "Another wall that would pass: 1 course less" in text
    assert "Another wall that would pass: deeper units: Deep terrace block" in text
    assert "(total" not in text


def test_print_quote_shows_what_changes_cost_where_it_was_asked() -> None:
    """With `what_if` each has its total; without a failing check there is nothing to show."""
    assert lawn_wall(what_if=True).count("(total ") == 5
    assert "Would pass" not in printed(lawn_request("loam", "2 ft"))


@pytest.mark.no_cover  # others run the same lines
def test_print_quote_says_why_no_change_passes() -> None:
    """Where water has no way out, the answer's own words; a wall that has changes shows none."""
    request = lawn_request("loam", water={"outlet": "none"})
    text = " ".join(printed(request).split())
    assert "No change that was tried passes: water behind the wall at wall-1 fails" in text
    assert "No change that was tried" not in lawn_wall()
