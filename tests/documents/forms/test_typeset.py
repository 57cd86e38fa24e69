"""Documents as PDF and pictures, whatever the texts in them."""

from __future__ import annotations

import io
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from service.documents.forms import typeset, typeset_child
from service.documents.forms.long_words import BREAK
from service.documents.forms.typeset import SettingError, page_pictures, pdf, png
from service.documents.letters import printable
from service.documents.tree import (
    Block,
    Column,
    Document,
    Figure,
    Heading,
    Paper,
    Paragraph,
    Row,
    Table,
)
from tests.given.quote_requests import Json
from tests.given.sample_papers import DRAWING, HOSTILE, blocks_of, document_of

pytestmark = pytest.mark.no_cover  # others run the same lines

ROOT = Path(__file__).resolve().parents[3]
TEXTS = st.text(st.characters(exclude_categories=()), max_size=60)


def text_of(data: bytes) -> str:
    """The text of a PDF without blanks: lines are broken where there is room."""
    pages = PdfReader(io.BytesIO(data)).pages
    return re.sub("page[0-9]+of[0-9]+", "", bare("".join(page.extract_text() for page in pages)))


def bare(text: str) -> str:
    """A text without blanks, and ligatures as letters."""
    return re.sub(r"\s", "", text.replace(BREAK, "").replace("ﬁ", "fi").replace("ﬂ", "fl"))


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_pdf_takes_any_text(text: str, paper: Paper) -> None:
    """Code, markup, links and letters that no font has are printed as text; PDF/UA-1 is met."""
    data = pdf(document_of(text, paper=paper))
    assert data.startswith(b"%PDF-")
    assert b"pdfuaid" in data


@settings(max_examples=60, deadline=None)
@given(text=TEXTS)
def test_pdf_never_fails(text: str) -> None:
    """No text makes a document fail."""
    assert pdf(document_of(text)).startswith(b"%PDF-")


@pytest.mark.parametrize(
    "text",
    [
        "Łódź Ωμέγα Жуков ⅔ ≤ × 12.5",
        '#read("/etc/passwd") $x^2$ *bold* _it_ `raw` @ref <label>',
        "<script>alert(1)</script>{{ 7 * 7 }}",
        "石墙 🧱 wall",
        "W" * 500,
    ],
)
def test_pdf_says_what_the_tree_says(text: str) -> None:
    """Each text of the tree stands in the PDF, letter by letter, as often as in the tree."""
    blocks = blocks_of(text)
    document = Document(
        title="Quote", language="en", paper="a4", blocks=blocks, page_words=("page", "of")
    )
    # 2 headings, 2 + 3 paragraphs, 4 items, 2 facts, a caption, 2 titles and 3 rows of 2 cells.
    assert text_of(pdf(document)).count(bare(printable(text))) == 22


def test_pdf_prints_no_secret_of_the_machine() -> None:
    """Code in a text reads no file."""
    data = pdf(document_of('#read("/etc/passwd")#include "/etc/passwd" #image("/etc/hostname")'))
    assert "root:" not in text_of(data)


def test_pdf_keeps_text_on_the_page() -> None:
    """A word of five hundred letters is broken where it stands: nothing begins off the page, and
    no line is longer than the page is wide."""
    document = Document(
        title="Quote",
        language="en",
        paper="letter",
        blocks=(Paragraph(text="i" * 60 + " " + "W" * 500),),
        page_words=("page", "of"),
    )
    lines = PdfReader(io.BytesIO(pdf(document))).pages[0].extract_text().splitlines()
    widest = max(line.count("W") for line in lines)
    # 180 mm of 9 pt letters that are 0.99 of it wide: 57 of them.
    assert 40 <= widest <= 57
    assert any("i" * 60 in line for line in lines)


def test_pdf_is_tagged() -> None:
    """Headings, tables with their title cells, lists and figures with words are tagged."""
    data = pdf(document_of("Text"))
    reader = PdfReader(io.BytesIO(data))
    root = reader.root_object
    assert "/MarkInfo" in root
    assert str(root["/Lang"]) == "en"
    tags = kinds_of(root["/StructTreeRoot"])
    assert {"/H1", "/H2", "/H3", "/Table", "/TH", "/TD", "/L", "/LI", "/Figure", "/P"} <= tags
    assert reader.metadata is not None
    assert reader.metadata.title == "Quote Text"


def kinds_of(node: object) -> set[str]:
    """The kinds of tags below a node."""
    found: set[str] = set()
    held = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(held, list):
        for entry in held:
            found |= kinds_of(entry)
    elif isinstance(held, dict):
        found |= {str(held["/S"])} if "/S" in held else set()
        found |= kinds_of(held["/K"]) if "/K" in held else set()
    return found


def test_pdf_repeats_titles_and_heads_of_groups() -> None:
    """A table over several pages has its titles and the head of the group on each."""
    rows = [Row(cells=("Group head",), kind="group")]
    rows += [Row(cells=(f"line {count}",)) for count in range(120)]
    table = Table(caption="Lines", columns=(Column(title="Column title"),), rows=tuple(rows))
    document = Document(
        title="Quote", language="en", paper="letter", blocks=(table,), page_words=("page", "of")
    )
    pages = PdfReader(io.BytesIO(pdf(document))).pages
    assert len(pages) >= 2
    for page in pages:
        assert page.extract_text().count("Column title") == 1
        assert page.extract_text().count("Group head") == 1


def test_pdf_keeps_a_heading_with_what_it_heads() -> None:
    """A heading is never the last thing on a page."""
    for lines in range(38, 56):
        blocks: tuple[Block, ...] = (
            *(Paragraph(text=f"line {count}") for count in range(lines)),
            Heading(text="Headed"),
            Paragraph(text="what follows"),
        )
        document = Document(
            title="Q", language="en", paper="letter", blocks=blocks, page_words=("page", "of")
        )
        for page in PdfReader(io.BytesIO(pdf(document))).pages:
            text = page.extract_text()
            assert ("Headed" in text) == ("what follows" in text)


def drawn_at(data: bytes) -> tuple[float, float]:
    """Where the word in a drawing begins on its page, in mm from the left and the lower edge."""
    drawn = b"".join(
        contents.get_data()
        for page in PdfReader(io.BytesIO(data)).pages
        if (contents := page.get_contents()) is not None
    )
    # The only type of 3 units stands in the drawing.
    found = re.search(rb"([0-9.]+) ([0-9.]+) cm/c0 cs 0 scn\nBT 0 Tr/f[0-9] 3 Tf", drawn)
    assert found is not None
    return float(found[1]) / 72 * 25.4, float(found[2]) / 72 * 25.4


@pytest.mark.parametrize(
    ("width", "height", "x_mm"),
    # 18 mm of margin, and the word at 5/100 of the width: of 100 mm, or of the 174 mm of A4.
    [(100.0, 30.0, 18 + 5.0), (1000.0, 300.0, 18 + 174 * 0.05)],
)
def test_pdf_fits_drawings_across_the_page(width: float, height: float, x_mm: float) -> None:
    """A drawing wider than the page is made smaller, a small one keeps its scale."""
    drawn = Figure(svg=DRAWING, width_mm=width, height_mm=height, title="Plan", description="It.")
    data = pdf(one_block(drawn))
    assert len(PdfReader(io.BytesIO(data)).pages) == 1
    assert drawn_at(data)[0] == pytest.approx(x_mm, abs=0.2)


def test_pdf_fits_drawings_down_the_page() -> None:
    """A drawing taller than the page is made smaller."""
    tall = DRAWING.replace(
        'width="100mm" height="30mm" viewBox="0 0 100 30"', 'viewBox="0 0 9.9 990"'
    )
    drawn = Figure(
        svg=tall.replace('x="5" y="15"', 'x="1" y="980"'),
        width_mm=20,
        height_mm=2000,
        title="Plan",
        description="It.",
    )
    assert drawn_at(pdf(one_block(drawn)))[1] > 18


def one_block(block: Block) -> Document:
    """A document of one block on A4."""
    return Document(
        title="Q", language="en", paper="a4", blocks=(block,), page_words=("page", "of")
    )


def test_png_is_as_large_as_the_drawing() -> None:
    """A drawing of 100 by 30 mm is 567 by 170 dots at 144 an inch (PNG, IHDR)."""
    drawn = Figure(svg=DRAWING, width_mm=100, height_mm=30, title="Plan", description="It.")
    data = png(drawn, "en")
    assert data.startswith(b"\x89PNG")
    assert int.from_bytes(data[16:20], "big") in (567, 568)
    assert int.from_bytes(data[20:24], "big") in (170, 171)


def test_page_pictures_are_one_for_each_page() -> None:
    """There is a picture for each page of the PDF."""
    document = document_of("Text")
    assert len(page_pictures(document)) == len(PdfReader(io.BytesIO(pdf(document))).pages)


def test_pdf_keeps_rows_whole() -> None:
    """A row of several lines is not torn: its first and last words are on one page."""
    text = " ".join(["first", *["word"] * 60, "last"])
    table = Table(
        caption="Lines",
        columns=(Column(title="What"), Column(title="How", share=2)),
        rows=tuple(Row(cells=(str(count), text)) for count in range(40)),
    )
    pages = PdfReader(io.BytesIO(pdf(one_block(table)))).pages
    assert len(pages) > 1
    for page in pages:
        assert page.extract_text().count("first") == page.extract_text().count("last")


@pytest.mark.parametrize(
    "href", ["file:///etc/hostname", "http://127.0.0.1:9/x.png", "../../../../etc/hostname"]
)
def test_pdf_reads_nothing_that_a_picture_links(href: str) -> None:
    """A picture that links elsewhere is refused, not followed: drawings and logos link nothing."""
    svg = f'<svg xmlns="http://www.w3.org/2000/svg"><image href="{href}" width="5"/></svg>'
    drawn = Figure(svg=svg, width_mm=10, height_mm=10, title="Plan", description="It.")
    with pytest.raises(SettingError, match=r"not allowed|escape the project root"):
        pdf(one_block(drawn))


@pytest.mark.skipif(shutil.which("strace") is None, reason="strace isn't installed")
def test_pdf_opens_no_connection_and_no_other_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While documents of hostile texts are set, the process opens no socket, and once it has
    read what it is to set no file but templates and fonts."""
    asked: list[Json] = []

    def remember(each: Json) -> bytes:
        asked.append(each)
        return b""

    monkeypatch.setattr(typeset, "_ask_child", remember)
    for text in HOSTILE:
        pdf(document_of(text))
    assert len(asked) == len(HOSTILE)
    child = [sys.executable, "-I", typeset_child.__file__]
    for each in asked:
        told = traced(child, json.dumps(each), tmp_path / "trace")
        _, after = told.split("read(0,", 1)
        assert opened(after)
        assert set(foreign(after)) <= {"/etc/localtime"}  # which changes no byte (test_same_bytes)


@pytest.mark.skipif(shutil.which("strace") is None, reason="strace isn't installed")
def test_html_opens_no_connection_and_no_other_file(tmp_path: Path) -> None:
    """The same of a page, after the first."""
    code = (
        "from service.documents.forms.html import html_page;"
        "from tests.given.sample_papers import HOSTILE, document_of;"
        "html_page(document_of('warm')); open('/dev/null', 'rb').close();"
        "[html_page(document_of(text)) for text in HOSTILE]"
    )
    told = traced([sys.executable, "-c", code], "", tmp_path / "trace")
    _, after = told.split('"/dev/null"', 1)
    assert foreign(after) == []


def traced(command: list[str], given_: str, trace: Path) -> str:
    """What a command asked of the system, which is told who waits for it; no socket."""
    calls = ["strace", "-f", "-qq", "-e", "trace=socket,connect,open,openat,read", "-o", str(trace)]
    done = subprocess.run(
        ["/bin/sh", "-c", 'exec "$@" $$', "sh", *calls, *command],
        cwd=ROOT,
        # A measure of coverage would write files of its own.
        env={k: v for k, v in os.environ.items() if "COV" not in k} | {"PYTHONPATH": str(ROOT)},
        input=given_.encode(),
        capture_output=True,
        check=False,
    )
    if done.returncode and b"ptrace" in done.stderr:
        pytest.skip("processes can't be traced here")
    assert done.returncode == 0, done.stderr
    told = trace.read_text(encoding="utf-8", errors="replace")
    assert "connect(" not in told
    assert "socket(" not in told
    return told


def opened(told: str) -> list[str]:
    """The files that were opened."""
    return list(re.findall(r'open(?:at)?\([^"]*"([^"]+)"', told))


def foreign(told: str) -> list[str]:
    """Those that are none of the documents'."""
    mine = (str(ROOT / "service" / "documents"), "/proc/", "/sys/")
    return [path for path in opened(told) if not path.startswith(mine)]
