"""What a plan shows beside a wall's own line: tiers as they stand, graded areas, all to scale; and
the dimension lines of elevation and section."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import pytest

from service.core.quote import Quote
from service.documents.drawings import Drawing, draw_plan_sheets
from service.documents.drawings.plan_panels import groups_of
from tests.given.drawn import (
    drawn,
    named_quote,
    quote_of,
    requested,
    texts_of,
    tiers,
    writing_of,
)
from tests.given.quote_requests import level_wall, shipped_request
from tests.given.walls import ft

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

Point = tuple[float, float]
MM_PER_M = 1000


def lines_of(drawing: Drawing, *, wide: str, dash: str = "") -> list[list[Point]]:
    """Lines of one width and dash, in mm."""
    dashed = rf' stroke-dasharray="{dash}"' if dash else ""
    found = re.findall(
        rf'<path d="M([^"Z]*)" fill="none" stroke="#1a1a1a" stroke-width="{wide}"{dashed}/>',
        drawing.svg,
    )
    return [[as_point(pair) for pair in line.split("L")] for line in found if "M" not in line]


def as_point(pair: str) -> Point:
    """Two figures."""
    x, y = map(float, pair.split())
    return x, y


def shown(quote: Quote, kind: str) -> tuple[Drawing, float]:
    """A drawing, and meters for each of its mm."""
    drawing = drawn(quote, kind)
    assert drawing is not None
    scale = re.search(r"scale 1:([0-9]+)", drawing.svg)
    assert scale
    return drawing, float(scale[1]) / MM_PER_M


def test_plan_shows_tiers_as_they_stand() -> None:
    """Two tiers are one plan: the upper line begins opposite the lower one's start, 5 ft behind."""
    drawing, per_mm = shown(named_quote("tiers"), "plan")
    lower, upper = lines_of(drawing, wide="0.6")
    assert lower[0][0] == pytest.approx(upper[0][0], abs=0.02)
    assert (lower[0][1] - upper[0][1]) * per_mm == pytest.approx(ft(5), abs=0.005)
    assert "upper: 5 ft behind lower" in texts_of(drawing)
    assert texts_of(drawing)[0] == "lower, upper"


def test_plan_shows_one_of_the_tiers_alone_where_it_is_named() -> None:
    """Whoever asks for one wall sees that wall."""
    drawing = drawn(named_quote("tiers"), "plan", "upper")
    assert drawing is not None
    assert len(lines_of(drawing, wide="0.6")) == 1
    assert texts_of(drawing)[0] == "upper"


def test_groups_hold_each_wall_once() -> None:
    """Three tiers, the third behind both of the others: each is drawn once, as far behind as the
    tiers come to; a wall that is no tier stands by itself."""
    request = tiers()
    lower, upper = request["walls"]
    third = {**{key: upper[key] for key in ("plan", "profile")}, "name": "third"}
    single = level_wall("12 ft", "2 ft", name="single")
    request["walls"] = [single, lower, upper, third]
    request["tiers"] = [
        {"lower": "lower", "upper": "upper", "offset": "5 ft"},
        {"lower": "upper", "upper": "third", "offset": "6 ft"},
        {"lower": "lower", "upper": "third", "offset": "11 ft"},
    ]
    request.pop("screening")
    groups = groups_of(quote_of(request))
    found = [[(p.layout.name, round(p.behind_m, 6)) for p in group.panels] for group in groups]
    assert found == [
        [("single", 0.0)],
        [("lower", 0.0), ("upper", round(ft(5), 6)), ("third", round(ft(11), 6))],
    ]


def test_plan_of_many_walls_takes_several_sheets() -> None:
    """Twelve walls are no sheet of half a meter: each part fits on a page, and all of them together
    show each wall once, in order."""
    walls = [level_wall("12 ft", "2 ft", name=f"wall {number}") for number in range(12)]
    quote = quote_of(shipped_request(*walls))
    sheets = list(draw_plan_sheets(quote, writing_of(quote)))
    assert len(sheets) > 1
    assert all(sheet.height_mm <= 240 for sheet in sheets)
    names = [text for sheet in sheets for text in texts_of(sheet) if text.startswith("wall ")]
    assert names == [f"wall {number}" for number in range(12)]
    assert len(list(draw_plan_sheets(named_quote("tiers"), writing_of(named_quote("tiers"))))) == 1


GRADED = {
    "name": "lawn",
    "area": "240 ft2",
    "average_depth": "6 in",
    "work": "cut",
    "wall": "wall",
    "from": "8 ft",
    "from_station": "10 ft",
    "to_station": "30 ft",
}


@pytest.mark.parametrize("side", ["front", "behind"])
def test_plan_shows_a_graded_area_as_large_as_it_is(side: str) -> None:
    """240 ft2 along 20 ft of a straight wall are 12 ft deep, and begin 8 ft from it."""
    quote = quote_of(requested(level_wall("40 ft"), grading=[{**GRADED, "side": side}]))
    drawing, per_mm = shown(quote, "plan")
    near, far, first, last = lines_of(drawing, wide="0.3", dash="0.5 1")
    (wall,) = lines_of(drawing, wide="0.6")
    way = -1 if side == "behind" else 1  # up on the sheet is toward the soil
    assert (near[0][0] - wall[0][0]) * per_mm == pytest.approx(ft(10), abs=0.01)
    assert (near[-1][0] - wall[0][0]) * per_mm == pytest.approx(ft(30), abs=0.01)
    assert way * (near[0][1] - wall[0][1]) * per_mm == pytest.approx(ft(8), abs=0.01)
    assert way * (far[0][1] - near[0][1]) * per_mm == pytest.approx(ft(12), abs=0.01)
    assert [first, last] == [[near[0], far[0]], [near[-1], far[-1]]]
    assert "graded: lawn" in texts_of(drawing)
    assert "dotted: graded" in " ".join(texts_of(drawing))


def test_plan_leaves_the_far_edge_of_a_deep_area_open() -> None:
    """An area deeper than its wall is long would make the wall a dot: its near edge is drawn."""
    deep = {**GRADED, "side": "front", "area": "20000 ft2"}
    drawing, _ = shown(quote_of(requested(level_wall("40 ft"), grading=[deep])), "plan")
    assert len(lines_of(drawing, wide="0.3", dash="0.5 1")) == 1


def measured(drawing: Drawing) -> list[tuple[Point, Point]]:
    """Dimension lines: paths of a line and two slanted strokes."""
    found = []
    for drawn_path in re.findall(r'<path d="([ML0-9. -]*)" fill="none"', drawing.svg):
        strokes = [list(map(as_point, part.split("L"))) for part in drawn_path.split("M")[1:]]
        if len(strokes) == 3 and all(len(stroke) == 2 for stroke in strokes):
            (start, end), *slants = strokes
            middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in slants]
            if all(math.dist(p, q) < 0.02 for p, q in zip(middles, (start, end), strict=True)):
                found.append((start, end))
    return found


def test_elevation_measures_the_length_of_each_row() -> None:
    """48 ft in two rows of 24 ft: each has a dimension line of that length to scale."""
    drawing, per_mm = shown(named_quote("falling"), "elevation")
    lines = measured(drawing)
    assert [math.dist(*line) * per_mm for line in lines] == pytest.approx([ft(24)] * 2, abs=0.01)
    assert texts_of(drawing).count("24 ft") >= 2


@pytest.mark.parametrize(
    ("name", "heights"),
    # 7 courses of 8 in and a cap of 4 in, 1 ft of it buried; 14 courses, 8 in of it buried.
    [("straight", [(1, 0), (4, 0)]), ("falling", [(0, 8), (9, 0)])],
)
def test_section_measures_what_is_buried_and_what_shows(
    name: str, heights: list[tuple[int, int]]
) -> None:
    """Two dimension lines one above the other, to scale, with their figures."""
    drawing, per_mm = shown(named_quote(name), "section")
    lines = measured(drawing)
    found = [math.dist(*line) * per_mm for line in lines]
    assert found == pytest.approx([ft(*height) for height in heights], abs=0.01)
    for one, other in pairwise(lines):
        assert math.dist(one[1], other[0]) < 0.02
    for feet, inches in heights:
        assert (f"{feet} ft" if feet else f"{inches} in") in texts_of(drawing)
