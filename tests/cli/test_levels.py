"""Levels and rod readings, as the command line writes them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from service.cli.app import app
from service.operations.answer_figures import Measure
from service.operations.quoting.levels import Levels, rod_writing

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "quote_walls"
Json = dict[str, Any]


def printed(request: Json) -> str:
    """The quote of a request as tables, in one line."""
    done = CliRunner().invoke(app, ["quote", "-"], input=json.dumps(request).encode())
    assert (done.exit_code, done.stderr) == (0, "")
    return " ".join(done.stdout.split())


def with_rods(top: object, front: object) -> Json:
    """The straight wall, its levels read from a rod."""
    request: Json = json.loads((EXAMPLES / "straight_wall.request.json").read_text("utf-8"))
    request["levels_are"] = "rod"
    for entry in request["walls"][0]["profile"]:
        entry["top"], entry["front_grade"] = top, front
    return request


# Joints of 8 in hang from the top less 4 in of cap; the base is the first that reads at least 6 in
# more than the front grade (rule 4.1): 29 + 4 + 7 x 8 = 89 in for 77 1/8 + 6 = 83 1/8 in.
@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("top", "front", "read"),
    [
        ("2.42 ft", "6.42 ft", "7.42 ft"),
        ("2 ft 5 in", "6 ft 5 1/8 in", "7 ft 5 in"),
        ("29 in", "77 1/8 in", "89 in"),
        ("29 1/8 in", "77 1/8 in", "89 1/8 in"),
        ({"value": "29", "unit": "in"}, {"value": "77.5", "unit": "in"}, "89 in"),
        ("0.8 m", "2 m", "2.324 m"),
        ("2 ft", "6 ft 6 in", "7 ft"),
    ],
)
def test_quote_prints_rod_readings_as_they_came(top: object, front: object, read: str) -> None:
    """Tenths of a foot stay tenths, inches inches, feet and inches both, whatever `units` says."""
    assert f"underside of the lowest course at rod reading {read}" in printed(with_rods(top, front))


def heights_printed(request: Json, columns: int) -> str:
    """The heights that fit, as tables, in one line."""
    done = CliRunner().invoke(
        app,
        ["quote", "-", "--heights"],
        input=json.dumps(request).encode(),
        env={"COLUMNS": str(columns)},
    )
    assert (done.exit_code, done.stderr) == (0, "")
    return " ".join(done.stdout.split())


# From 24 1/8 in on the rod down to 72 1/8 in the wall shows 48 in. A course less shows 46 in, so
# that its top reads 26 1/8 in; a course more shows 62 in and reads 10 1/8 in.
def test_quote_heights_print_what_the_rod_reads_on_each_top() -> None:
    """The top of each height is read as the request's rod readings are written."""
    text = heights_printed(with_rods("24 1/8 in", "72 1/8 in"), 120)
    assert "as it is 4 ft 24 1/8 in 7" in text
    assert "a course less 3 ft 10 in 26 1/8 in 6" in text
    assert "a course more 5 ft 2 in 10 1/8 in 8" in text


def test_quote_heights_print_levels_where_there_is_room() -> None:
    """By elevations the tops are at levels in feet and inches, in a wide place."""
    request = json.loads((EXAMPLES / "straight_wall.request.json").read_text("utf-8"))
    assert "a course less 3 ft 10 in 3 ft 10 in 6" in heights_printed(request, 120)
    assert "a course less 3 ft 10 in 6" in heights_printed(request, 100)


def test_rod_writing_is_that_of_the_request() -> None:
    """Elevations have none; feet and inches win where a whole foot stands among them."""
    assert rod_writing({"levels_are": "elevation", "walls": []}) is None
    assert rod_writing(with_rods("2 ft", "6 ft")) == "ft"
    assert rod_writing(with_rods("2 ft 1 in", "6 ft")) == "ft in"


def test_quote_prints_levels_in_metric_to_the_millimeter() -> None:
    """Front grade 12.1 m, 150 mm buried, a top of 13.0 m less 80 mm of cap: joints of 200 mm hang
    from 12.92 m, so that the base lies at 11.92 m; 5 mm lower with a front grade at 12.095 m."""
    path = EXAMPLES / "curved_terrace.request.json"
    request: Json = json.loads(path.read_text("utf-8"))
    assert "lowest course at level 11.92 m" in printed(request)
    for entry in request["walls"][0]["profile"]:
        entry["front_grade"] = "12.095 m"
    assert "lowest course at level 11.915 m" in printed(request)


@pytest.mark.parametrize(
    ("unit", "value", "shown"),
    [
        ("ft", "6.4166667", "6.42 ft"),
        ("in", "-0.0001", "0 in"),
        ("in", "-1.51", "-18 1/8 in"),
        ("ft in", "-1.51", "-1 ft 6 1/8 in"),
        ("cm", "1", "30.5 cm"),
        ("mm", "1", "305 mm"),
        ("m", "1", "0.305 m"),
    ],
)
def test_levels_text_is_read_to_the_mark_of_its_writing(unit: str, value: str, shown: str) -> None:
    """1 ft is 304.8 mm; 1.51 ft are 18.12 in: hundredths, eighths, millimeters."""
    levels = Levels(what="level", written_in=unit)
    assert levels.text(Measure(value, "ft")) == f"level {shown}"
