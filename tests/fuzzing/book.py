"""Workbooks with one part, or some bytes of the file, as a stranger may send them."""

from __future__ import annotations

from contextlib import suppress
from typing import Final

from service.core.errors import QuoteFaultsError
from service.operations.prices.workbook_child import MOST_CHARACTERS
from service.operations.prices.workbook_file import read_workbook
from tests.given.price_files import PARTS, SHEET, raw_workbook

_MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_ROWS: Final = (
    '<row r="1"><c r="A1" t="inlineStr"><is><t>item</t></is></c><c r="B1" t="s"><v>0</v></c></row>'
    '<row r="3" hidden="1"><c r="B3" s="1"><v>6.85</v></c><c t="b"><v>1</v></c></row>'
)
_STYLES: Final = (
    f'<styleSheet xmlns="{_MAIN}"><numFmts count="1"><numFmt numFmtId="164" '
    'formatCode="[$&#8364;-407] #,##0.00"/></numFmts><cellXfs count="2"><xf numFmtId="0"/>'
    '<xf numFmtId="164"/></cellXfs></styleSheet>'
)
_STRINGS: Final = f'<sst xmlns="{_MAIN}"><si><t>cost</t></si></sst>'
_WHOLE: Final = {
    **PARTS,
    "xl/worksheets/sheet1.xml": SHEET.format(rows=_ROWS, more=""),
    "xl/styles.xml": _STYLES,
    "xl/sharedStrings.xml": _STRINGS,
}
_LETTERS: Final = dict(zip(b"abcdefgh", _WHOLE, strict=False))
# Bytes of the file: z, then three for each, where it lies and what it is.
BOOKS: Final = (
    *(bytes([letter]) + _WHOLE[part].encode() for letter, part in _LETTERS.items()),
    b"z\0\x40\0",
    b"z",
)


def read_book(data: bytes) -> None:
    """A workbook of which one part is what was sent, by the first letter, or some bytes of the
    file: it is refused, or all that is told of its sheet stands in the sheet."""
    if data[:1] == b"z":
        lies = bytearray(raw_workbook(parts=_WHOLE))
        for at in range(1, len(data) - 2, 3):
            lies[int.from_bytes(data[at : at + 2]) % len(lies)] = data[at + 2]
        book = bytes(lies)
    else:
        part = _LETTERS.get(data[0] if data else 0, "xl/worksheets/sheet1.xml")
        book = raw_workbook(parts={**_WHOLE, part: data[1:]})
    with suppress(QuoteFaultsError):
        sheet = read_workbook(book, "")
        cells = {
            (row, column): cell
            for row, found in enumerate(sheet.rows)
            for column, cell in enumerate(found)
        }
        assert len(sheet.rows) == len(sheet.lines)
        assert sheet.hidden_rows <= set(range(len(sheet.rows)))
        assert {(0, column) for column in sheet.hidden_columns} <= cells.keys()
        assert sheet.signs.keys() <= cells.keys()
        texts = [cell for cell in cells.values() if isinstance(cell, str)]
        assert max(map(len, texts), default=0) <= MOST_CHARACTERS + 1
