"""Figures in sentences for people, rounded for reading."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer
from service.operations.quoting.sentences import for_reading
from tests.given.catalogs import shipped_catalog

pytestmark = pytest.mark.no_cover  # others run the same lines

EXAMPLES = Path(__file__).resolve().parents[3] / "openapi" / "examples" / "quote_walls"


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ("The wall is 4.16667 ft high.", "The wall is 4.17 ft high."),
        ("at station 135.305 ft.", "at station 135.31 ft."),
        ("the limit is 19.5805 lb: index 4.81234", "the limit is 19.6 lb: index 4.81234"),
        ("a pallet weighs 1422.87 kg, and", "a pallet weighs 1423 kg, and"),
        ("open for 1.6449 days.", "open for 1.64 days."),
        ("It falls by 0.833333 %.", "It falls by 0.833 %."),
        ("71.8204 kPa of bearing", "71.8 kPa of bearing"),
        ("0.00416667 ft too low", "0.00417 ft too low"),
        ("lower 3.66667 ft + upper 3 ft", "lower 3.67 ft + upper 3 ft"),
        ("1500 psf (Table 1806.2 (1804.2 in 2006))", "1500 psf (Table 1806.2 (1804.2 in 2006))"),
        ("29 CFR 1926.1153 in force", "29 CFR 1926.1153 in force"),
        ("a load of 123456 lb", "a load of 123456 lb"),
        ("no steeper than 1.5:1", "no steeper than 1.5:1"),
    ],
)
def test_for_reading_rounds_measures_alone(said: str, read: str) -> None:
    """Lengths to hundredths, the rest to three significant digits; tables and clauses stand."""
    assert for_reading(said) == read


def test_cautions_are_said_in_figures_to_read() -> None:
    """No measure of a caution has more than two places, and the wall's own field keeps them all:
    four courses of 8 in and a cap of 4 in are 3.6667 ft, with 6 in of pad 4.1667 ft."""
    path = EXAMPLES / "two_tiers_under_a_drive.request.json"
    answer = _answered(path)
    heights = {wall["max_wall_height"]["value"] for wall in answer["walls"]}
    assert "3.66666667" in heights
    texts = " ".join(caution["text"] for caution in answer["cautions"])
    assert "3.67 ft" in texts
    assert "4.17 ft" in texts
    assert not re.findall(r"[0-9]\.[0-9]{3,} (?:ft|lb)\b", texts)


def test_a_replaced_task_is_told_in_figures_to_read() -> None:
    """A passage of 30.3 in is 2.525 ft: said as 2.53 ft."""
    path = EXAMPLES / "driveway_into_bank.request.json"
    answer = _answered(path, access={"distance": "40 ft", "narrowest_passage": "30.3 in"})
    whys = [entry["why"] for entry in answer["labor"]["replaced"]]
    assert any("the narrowest passage is 2.53 ft" in why for why in whys)


def test_an_assumption_is_told_in_figures_to_read() -> None:
    """A plan of 36 ft and 1/64 in is 36.0013 ft long: said as 36 ft, while its length keeps it."""
    path = EXAMPLES / "garden_wall.request.json"
    (wall,) = json.loads(path.read_text("utf-8"))["walls"]
    plan = [{"kind": "straight", "length": {"value": "36.0013", "unit": "ft"}}]
    answer = _answered(path, walls=[{**wall, "plan": plan}])
    whys = [entry["why"] for entry in answer["assumptions"]]
    assert "derived from the plan: 0 ft of 36 ft in curves, 0 corners" in whys
    assert answer["walls"][0]["length"]["value"] == "36.0013"


def _answered(path: Path, **more: object) -> Any:  # noqa: ANN401  JSON
    request = {**json.loads(path.read_text("utf-8")), **more}
    return json.loads(encode_answer(quote_document(request, shipped_catalog())))
