"""What a document says, once, whatever its form: a small tree of frozen values.

Texts are final: words in the document's language, figures grouped and signed as that language
writes them. Renderers add nothing that can be read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Language = Literal["en", "es"]
Paper = Literal["letter", "a4"]
Align = Literal["start", "end"]
RowKind = Literal["plain", "group", "sum"]
Tone = Literal["plain", "lead", "small", "caution"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A heading below the title: 2 opens a part, 3 a part of it."""

    text: str
    level: Literal[2, 3] = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """Words in a row. `label` stands before them in bold; `tone` says how loud they are."""

    text: str
    label: str = ""
    tone: Tone = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bullets:
    """A list of sentences; with `boxes` each is ticked off by hand, with `numbers` counted."""

    items: tuple[str, ...]
    marks: Literal["dots", "boxes", "numbers"] = "dots"


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Names and what each of them is."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table; figures align at their `end`. `share` is its part of the width."""

    title: str
    align: Align = "start"
    share: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Cells of one row, as many as there are columns. A `group` row heads those below it, a `sum`
    row closes those above it."""

    cells: tuple[str, ...]
    kind: RowKind = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under titles; the title row is repeated on each page. `caption` names the table."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row.cells) != len(self.columns):
                raise ValueError(
                    f"a row of {len(row.cells)} cells under {len(self.columns)} titles"
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A drawing: SVG text in mm, and in words what is seen. It keeps its scale where it fits."""

    svg: str
    width_mm: float
    height_mm: float
    title: str
    description: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Signatures:
    """A line to sign on for each party, with a line for the date."""

    parties: tuple[str, ...]
    signature: str
    date: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Blanks:
    """Questions with room to write the answer by hand, and the unit it is written in."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PageBreak:
    """What follows begins on a page of its own."""


Block = Heading | Paragraph | Bullets | Facts | Table | Figure | Signatures | Blanks | PageBreak


@dataclass(frozen=True, slots=True, kw_only=True)
class Logo:
    """A picture of the company's own, embedded as an image."""

    data: bytes
    kind: Literal["svg", "png"]
    description: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Letterhead:
    """Who sends the document: the lines under the name, and the logo where there is one."""

    name: str
    lines: tuple[str, ...]
    logo: Logo | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """One document. `footer` stands on each page before the page's number ("page", "of" are the
    words for it); `last_line` closes the last one."""

    title: str
    language: Language
    paper: Paper
    blocks: tuple[Block, ...]
    page_words: tuple[str, str]
    letterhead: Letterhead | None = None
    subtitle: str = ""
    footer: str = ""
    last_line: str = ""
