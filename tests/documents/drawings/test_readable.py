"""Drawings can be read: texts apart and inside, well-formed, the same bytes, nothing foreign."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.errors import LayoutFaultsError, QuoteFaultsError
from service.documents.drawings import Box, Drawing
from service.documents.drawings.canvas import Canvas, around
from service.documents.letters import printable
from tests.given.drawn import (
    NAMES,
    SVG,
    WALLS,
    all_drawn,
    corner,
    curve,
    drawn,
    named_quote,
    quote_of,
    requested,
    texts_of,
    writing_of,
)
from tests.given.quote_requests import Json, level_wall, shipped_request, straight

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

LEAST_MM = 2.5
HOSTILE = (
    "<script>alert(1)</script>&\"'",
    "#import $x^2$ \\( [link](http://example.invalid) ]]>",
    "קיר תומך ליד השביל",
    "ولدت الجدار",
    "挡土墙",
    "W" * 200,
    "\u202eevil \u2067left",
)
TAGS = {"svg", "title", "desc", "defs", "pattern", "path", "rect", "g", "text", "circle"}
ROOT = Path(__file__).resolve().parents[3]


def check_boxes(drawing: Drawing) -> None:
    """No text lies over another or leaves the sheet, and none is smaller than can be read."""
    for one, other in combinations(drawing.texts, 2):
        assert not one.overlaps(other), (one, other)
    for box in drawing.texts:
        assert box.left >= 0
        assert box.top >= 0
        assert box.right <= drawing.width_mm
        assert box.bottom <= drawing.height_mm
    root = ET.fromstring(drawing.svg)  # noqa: S314  made by the code under test
    texts = list(root.iter(f"{SVG}text"))
    assert len(texts) == len(drawing.texts)
    assert all(float(text.get("font-size", "0")) >= LEAST_MM for text in texts)


@pytest.mark.parametrize("name", NAMES)
def test_texts_stand_apart_and_inside(name: str) -> None:
    """In every drawing of every wall no text lies over another or leaves the sheet."""
    for drawing in all_drawn(named_quote(name)).values():
        check_boxes(drawing)


@pytest.mark.parametrize("name", NAMES)
def test_drawings_have_a_title_and_fit_a_sheet(name: str) -> None:
    """Title and description are there for screen readers; one wall fits on a page."""
    for kind, drawing in all_drawn(named_quote(name)).items():
        root = ET.fromstring(drawing.svg)  # noqa: S314  made by the code under test
        assert root.get("role") == "img"
        assert root.findtext(f"{SVG}title") == drawing.title
        assert root.findtext(f"{SVG}desc") == drawing.description
        assert drawing.width_mm <= 180
        assert drawing.height_mm <= 260, kind


PARTS: st.SearchStrategy[Json] = st.one_of(
    st.integers(3, 40).map(lambda feet: straight(f"{feet} ft")),
    st.builds(
        curve,
        st.sampled_from(("outside", "inside")),
        st.integers(12, 60).map(lambda feet: f"{feet} ft"),
        st.integers(10, 120).map(lambda angle: f"{angle} deg"),
    ),
)
CORNERS = st.builds(corner, st.integers(20, 120), st.sampled_from(("outside", "inside")))


@st.composite
def walls(draw: st.DrawFn) -> Json:
    """A wall of some parts and levels, existing ground with some."""
    plan = [draw(PARTS)]
    for _ in range(draw(st.integers(0, 3))):
        plan += [draw(CORNERS), draw(PARTS)] if draw(st.booleans()) else [draw(PARTS)]
    heights = st.integers(12, 80).map(lambda inches: f"{inches} in")
    entries: list[Json] = [
        {"station": station, "front_grade": f"{draw(st.integers(-24, 24))} in", "top": "7 ft"}
        for station in ("0 ft", {"after": 1}, "end")[:: 1 if len(plan) > 1 else 2]
    ]
    if draw(st.booleans()):
        entries[0]["existing_grade"] = draw(heights)
    graded = {"graded_in_front": "5 ft", "graded_behind": "6 ft"}
    return {"plan": plan, "profile": entries, **graded}


@settings(max_examples=25)
@given(wall=walls(), name=st.text(max_size=80))
def test_texts_of_random_walls_stand_apart(wall: Json, name: str) -> None:
    """Whatever the wall and its name, texts neither overlap nor leave the sheet."""
    try:
        quote = quote_of(requested({**wall, "name": "x" + name}))
    except (LayoutFaultsError, QuoteFaultsError):
        return
    for drawing in all_drawn(quote).values():
        check_boxes(drawing)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_printed_as_text(name: str) -> None:
    """Markup, code, other scripts and very long names are letters of a text, cut short if need be,
    and nothing in the drawing can run or be fetched."""
    quote = quote_of(requested({**WALLS["corner 90"], "name": name}))
    for kind, drawing in all_drawn(quote).items():
        check_boxes(drawing)
        root = ET.fromstring(drawing.svg)  # noqa: S314  made by the code under test
        tags = {element.tag.removeprefix(SVG) for element in root.iter()}
        assert tags <= TAGS
        for element in root.iter():
            assert not {key for key in element.attrib if key.startswith("on") or "href" in key}
        if not kind.startswith("order"):
            start = printable(name)[:5]
            shown = "".join(texts_of(drawing))
            assert start in shown or "□" in shown


def test_same_bytes_whatever_the_hash_seed_and_locale() -> None:
    """A drawing is the same in processes of other hash seeds, time zones and locales."""
    script = (
        "import hashlib\n"
        "from tests.given.drawn import all_drawn, named_quote\n"
        "drawings = all_drawn(named_quote('corner 90'))\n"
        "print(hashlib.sha256(''.join(d.svg for d in drawings.values()).encode()).hexdigest())\n"
    )
    found = set()
    for seed, zone, locale in (("1", "UTC", "C"), ("77", "Pacific/Auckland", "C.UTF-8")):
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": locale}
        run = subprocess.run(
            [sys.executable, "-c", script], cwd=ROOT, env=env, capture_output=True, check=True
        )
        found.add(run.stdout.strip().decode())
    here = "".join(d.svg for d in all_drawn(named_quote("corner 90")).values())
    assert found == {hashlib.sha256(here.encode()).hexdigest()}


def test_nothing_to_show_is_no_drawing() -> None:
    """Without ground there is no earthwork map, without rates no order of work."""
    quote = quote_of(shipped_request(level_wall()))
    assert drawn(quote, "earthwork_map") is None
    assert drawn(quote, "order_of_work") is None


def test_a_text_without_room_is_not_written() -> None:
    """A second text at the same place moves to the next free one; where none is free it is left
    out and said to be."""
    canvas = Canvas(30, 10)
    assert canvas.write((15, 5), "one")
    assert canvas.write((15, 5), "two", moves=around(3.5, rows=1))
    assert not canvas.write((15, 5), "three")
    assert not canvas.write((15, 50), "outside")
    drawing = canvas.drawing("title", "words")
    assert texts_of(drawing) == ["one", "two"]
    check_boxes(drawing)


def test_boxes_that_share_area_overlap() -> None:
    """Boxes side by side stand apart; a corner in common area overlaps."""
    box = Box(left=0, top=0, right=10, bottom=5)
    assert not box.overlaps(Box(left=10, top=0, right=20, bottom=5))
    assert box.overlaps(Box(left=9, top=4, right=20, bottom=9))


def test_spanish_words_fit_too() -> None:
    """The same walls in Spanish keep their texts apart."""
    quote = named_quote("tiers")
    from service.documents.drawings import draw_section  # noqa: PLC0415

    check_boxes(draw_section(quote, writing_of(quote, "es"), "lower"))
