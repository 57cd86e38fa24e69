"""Suppliers' files for tests, sound and hostile. All prices are invented."""

import io
import random
import zipfile
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import xlsxwriter

SHEET = """<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">
<sheetData>{rows}</sheetData>{more}</worksheet>"""
PARTS = {
    "[Content_Types].xml": """<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="xml" ContentType="application/xml"/>
<Override PartName="/xl/workbook.xml"
 ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>
<Override PartName="/xl/worksheets/sheet1.xml"
 ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>
</Types>""",
    "_rels/.rels": """<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Id="rId1"
 Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument"
 Target="xl/workbook.xml"/>
</Relationships>""",
    "xl/workbook.xml": """<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"
 xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">
<sheets><sheet name="Prices" sheetId="1" r:id="rId1"/></sheets></workbook>""",
    "xl/_rels/workbook.xml.rels": """<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Id="rId1"
 Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet"
 Target="worksheets/sheet1.xml"/>
</Relationships>""",
}


def workbook(*rows: Sequence[Any], sheet: str = "Prices", before: str | None = None) -> bytes:
    """A workbook with one sheet, and maybe an empty one before it."""
    stream = io.BytesIO()
    book = xlsxwriter.Workbook(stream, {"in_memory": True})
    if before is not None:
        book.add_worksheet(before)
    page = book.add_worksheet(sheet)
    for number, row in enumerate(rows):
        for column, value in enumerate(row):
            if value is not None:
                page.write(number, column, value)
    book.close()
    return stream.getvalue()


def csv_file(*rows: str) -> bytes:
    """A CSV file with these lines."""
    return "\r\n".join((*rows, "")).encode("utf-8")


def raw_workbook(
    rows: str = "", more: str = "", parts: Mapping[str, bytes | str] | None = None
) -> bytes:
    """A workbook whose one sheet is written by hand, with further parts of the archive."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        sheet = {"xl/worksheets/sheet1.xml": SHEET.format(rows=rows, more=more)}
        for name, content in {**PARTS, **sheet, **(parts or {})}.items():
            archive.writestr(name, content)
    return stream.getvalue()


def number_cell(place: str, text: str) -> str:
    """A cell with a number as it stands in the file."""
    return f'<c r="{place}"><v>{text}</v></c>'


def text_cell(place: str, text: str) -> str:
    """A cell with a text."""
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'


def row(number: int, *cells: str) -> str:
    """A row of cells."""
    return f'<row r="{number}">{"".join(cells)}</row>'


def shown_often(text: str, rows: int, columns: int) -> bytes:
    """A workbook that holds a text once and shows it in every cell."""
    one = '<?xml version="1.0"?><sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    cells = '<c t="s"><v>0</v></c>' * columns
    sheet = "".join(f'<row r="{number}">{cells}</row>' for number in range(1, rows + 1))
    shared = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"
    link = f'<Relationship Id="rId2" Type="{shared}" Target="sharedStrings.xml"/></Relationships>'
    links = "xl/_rels/workbook.xml.rels"
    parts: dict[str, bytes | str] = {
        "xl/sharedStrings.xml": f"{one}<si><t>{text}</t></si></sst>",
        links: PARTS[links].replace("</Relationships>", link),
        # So much that doesn't pack keeps the whole below the ratio at which archives are refused.
        "xl/media/a": random.Random(1).randbytes((len(text) + len(sheet)) // 150),  # noqa: S311
    }
    return raw_workbook(sheet, parts=parts)


_HEADS = row(1, text_cell("A1", "item"), text_cell("B1", "unit_cost"), text_cell("C1", "per"))
_FAR = row(1, number_cell("A1", "1")) + row(1048576, number_cell("XFD1048576", "1"))
_ENTITIES = (
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
    "<sst>&b;</sst>"
)
_MERGED = '<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'
_BLOCK = _HEADS + '<row r="2">' + text_cell("A2", "block")


def _half_a_workbook() -> bytes:
    good = raw_workbook(_HEADS)
    return good[: len(good) // 2]


# Files that say they are workbooks, by name; each is made when it is asked for.
HOSTILE_WORKBOOKS: dict[str, Callable[[], bytes]] = {
    "empty": lambda: b"",
    "no archive": lambda: b"item,unit_cost\r\n",
    "cut off": _half_a_workbook,
    "head only": lambda: b"PK\x03\x04",
    "no parts": lambda: raw_zip({}),
    "another archive": lambda: raw_zip({"readme.txt": b"hello"}),
    "far cells": lambda: raw_workbook(_FAR),
    "far column": lambda: raw_workbook(row(1, number_cell("XFD1", "1"))),
    "merged over all": lambda: raw_workbook(_HEADS, _MERGED),
    "many parts": lambda: raw_zip({f"part{number}": b"" for number in range(1000)}),
    "great ratio": lambda: raw_workbook(_HEADS, parts={"xl/media/a": b"\0" * 30_000_000}),
    "unpacks to 100 MB": lambda: raw_zip({"a": bytes(range(256)) * 400_000}),
    "one cell of 40 MB": lambda: raw_workbook(row(1, text_cell("A1", "x" * 40_000_000))),
    "entities": lambda: raw_workbook(_HEADS, parts={"xl/sharedStrings.xml": _ENTITIES}),
    "deep": lambda: raw_workbook("<row>" * 100_000),
    "broken markup": lambda: raw_workbook("<row><c"),
    "broken reference": lambda: raw_workbook(row(1, '<c r="ZZZZZZ1"><v>1</v></c>')),
    "negative reference": lambda: raw_workbook(row(1, '<c r="A-1"><v>1</v></c>')),
    "no number": lambda: raw_workbook(f"{_BLOCK}{number_cell('B2', 'NaN')}</row>"),
    "infinite": lambda: raw_workbook(f"{_BLOCK}{number_cell('B2', '1e400')}</row>"),
    "random": lambda: bytes(range(256)) * 100,
}


def raw_zip(parts: dict[str, bytes]) -> bytes:
    """Any archive."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return stream.getvalue()


_HEAD = b"item,unit_cost,per\r\n"
# Files that say they are CSV, by name; each is made when it is asked for.
HOSTILE_CSV: dict[str, Callable[[], bytes]] = {
    "empty": lambda: b"",
    "blank lines": lambda: b"\r\n\r\n\r\n",
    "mark alone": lambda: b"\xef\xbb\xbf",
    "UTF-16": lambda: "item,unit_cost,per\r\nblock,1,each\r\n".encode("utf-16"),
    "Latin-1": lambda: _HEAD + "bl\xf6ck,1,each\r\n".encode("latin-1"),
    "NUL": lambda: _HEAD + b"block\0,1,each\r\n",
    "text after a quote": lambda: _HEAD + b'"block"x,1,each\r\n',
    "quote never closed": lambda: _HEAD + b'"block,1,each\r\n',
    "long field": lambda: _HEAD + b"x" * 200_000 + b",1,each\r\n",
    "field over the bound": lambda: _HEAD + b"x" * 5_000 + b",1,each\r\n",
    "5,000,000 columns": lambda: b"," * 5_000_000,
    "200,000 rows": lambda: _HEAD + b"block,1,each\r\n" * 200_000,
    "a workbook": raw_workbook,
    "formula": lambda: _HEAD + b"block,=1+1,each\r\n",
    "command": lambda: _HEAD + b"=cmd|'/c calc'!A0,1,each\r\n",
    "lone return": lambda: b"item,unit_cost,per\rblock,1,each\r",
}
