"""A document and a workbook that have every part there is, and one text in each place of it."""

from __future__ import annotations

from decimal import Decimal

from service.documents.sheets import Cell, Sheet, Workbook
from service.documents.tree import (
    Blanks,
    Bullets,
    Column,
    Document,
    Facts,
    Figure,
    Heading,
    Language,
    Letterhead,
    Logo,
    PageBreak,
    Paper,
    Paragraph,
    Row,
    Signatures,
    Table,
)

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="30mm" viewBox="0 0 100 30">'
    '<rect x="1" y="1" width="98" height="28" fill="none" stroke="#000" stroke-width="0.3"/>'
    '<text x="5" y="15" font-size="3" font-family="DejaVu Sans">drawn</text></svg>'
)
# What somebody writes who wants more than to be read, and what is hard to print.
HOSTILE = (
    "<script>alert(1)</script><img src=http://example.com/x.png onerror=alert(1)>",
    "</p></td></table><style>*{display:none}</style>&amp;&#60;",
    "{{ 7 * 7 }} {% include '/etc/passwd' %} ${7*7}",
    '#read("/etc/passwd") #image("file:///etc/passwd") $x^2$ *bold* _it_ `raw` @ref <label>',
    "= heading\n- list\n+ enum\n/ term: x \\ // comment /* comment */ #{panic()}",
    '=HYPERLINK("http://example.com","x") +1 -1 @SUM(A1) |cmd\' /C calc\'!A0',
    "file:///etc/passwd http://example.com/a.png javascript:alert(1)",
    "\"; DROP TABLE quotes; -- ' \\ %s %n {0} {name}",
    "קיר תומך באורך 12 מטר (שלב א).",
    "جدار استنادي طوله 12.5 متر",
    "\u202egnp.exe\u202c \u2066x\u2069 \u200fy",
    "石墙 擁壁 옹벽 🧱 wall",
    "W" * 500,
    "ك" * 500,
    "🧱" * 500,
    "Zo\u0308e\u0301\u0327 \u0915\u093f a\u0300\u0301\u0302\u0303",
    "\x00\x01\x1b[31m\x7f\r\n\ttab\u2028line\u00adsoft\ufeff\ufe0f\u200d\u200c",
    "\ud800\udfff \ue000 \uffff \U0010ffff",
    " ",
    "",
)


def blocks_of(text: str) -> tuple[Heading | Paragraph | Bullets | Facts | Table, ...]:
    """Blocks of words, a text in each place."""
    columns = (Column(title=text, share=3.0), Column(title=text, align="end"))
    return (
        Heading(text=text),
        Heading(text=text, level=3),
        Paragraph(text=text, label=text),
        Paragraph(text=text, tone="lead"),
        Paragraph(text=text, tone="small"),
        Paragraph(text=text, tone="caution"),
        Bullets(items=(text, text)),
        Bullets(items=(text,), marks="boxes"),
        Bullets(items=(text,), marks="numbers"),
        Facts(rows=((text, text),)),
        Table(
            caption=text,
            columns=columns,
            rows=(
                Row(cells=(text, text), kind="group"),
                Row(cells=(text, text)),
                Row(cells=(text, text), kind="sum"),
            ),
        ),
    )


def document_of(text: str, language: Language = "en", paper: Paper = "letter") -> Document:
    """A document with a text in each place."""
    drawn = Figure(svg=DRAWING, width_mm=100, height_mm=30, title=text, description=text)
    logo = Logo(data=DRAWING.encode(), kind="svg", description=text)
    return Document(
        title=f"Quote {text}",
        language=language,
        paper=paper,
        subtitle=text,
        page_words=("page", "of"),
        footer=text,
        last_line=text,
        letterhead=Letterhead(name=text, lines=(text, text), logo=logo),
        blocks=(
            *blocks_of(text),
            drawn,
            Signatures(parties=(text, text), signature=text, date=text),
            PageBreak(),
            Blanks(rows=((text, text), (text, text))),
        ),
    )


def book_of(text: str) -> Workbook:
    """A workbook with a text in each place, and figures beside it."""
    rows = (
        (Cell(value=text), Cell(value=Decimal("1234.50"), shown="money"), Cell(value=Decimal(2))),
        (
            Cell(value=text, strong=True),
            Cell(value=Decimal("2469.00"), shown="money", formula="B2*C2", strong=True),
            Cell(value=Decimal("0.075"), shown="share", places=3),
        ),
    )
    sheet = Sheet(name="Lines", titles=(text, "Price", "Share"), rows=rows, widths=(40, 12, 12))
    return Workbook(title=text, author=text, money=("$", ""), sheets=(sheet,))
