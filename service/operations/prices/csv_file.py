"""CSV files as suppliers' programs write them: UTF-8, UTF-16 or Windows' own encoding.

A byte that is no character becomes U+FFFD and is a fault of its cell, if anybody reads that cell.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from typing import Final, Literal

from service.operations.prices.sheet import MOST_BYTES, Cell, Worksheet, check_size, refuse

Encoding = Literal["utf-8", "windows-1252", "utf-16"]
# What stands for a byte that is no character.
BROKEN: Final = "\ufffd"
# A mark at the beginning says the encoding, whatever else is said of it.
_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_WORKBOOK: Final = b"PK\x03\x04"
_OLD_WORKBOOK: Final = b"\xd0\xcf\x11\xe0"
_LOOKED_AT: Final = 200
_QUOTE_TWICE: Final = 'a quote within a quoted cell is written twice: "Block 8"" deep"'

# A long cell is a fault of its own where it is read, and none elsewhere. The bound is the
# process's, and nothing else reads CSV.
csv.field_size_limit(MOST_BYTES)


def read_csv(data: bytes, delimiter: str, encoding: Encoding) -> Worksheet:
    """The rows of a CSV file. Raises WorksheetUnreadableError."""
    text = _decoded(data, encoding)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[Cell, ...]] = []
    lines: list[int] = []
    cells, line = 0, 1
    try:
        for row in reader:
            cells += len(row)
            check_size(len(rows) + 1, len(row), cells)
            rows.append(tuple(row))
            lines.append(line)
            line = reader.line_num + 1
    except csv.Error as error:
        hint = _other_delimiter(text, delimiter) or _QUOTE_TWICE
        refuse("csv-invalid", f"the row at line {line} is not CSV: {error}", hint)
    return Worksheet(name=None, rows=tuple(rows), lines=tuple(lines))


def _other_delimiter(text: str, delimiter: str) -> str:
    """What to say where the first quoted cell ends before a delimiter that nobody named."""
    end = re.search(r'"([;,|\t])', text)
    if end is None or end[1] == delimiter:
        return ""
    name = "\\t" if end[1] == "\t" else end[1]
    return f'cells are parted by "{name}": say delimiter in the column mapping'


def _decoded(data: bytes, encoding: Encoding) -> str:
    _check_begin(data)
    for mark, codec in _MARKS:
        if data.startswith(mark):
            return data[len(mark) :].decode(codec, "replace")
    if encoding == "utf-16":
        return data.decode("utf-16-le", "replace")
    if data[:_LOOKED_AT].count(0) * 4 > len(data[:_LOOKED_AT]):
        hint = 'say encoding "utf-16" in the column mapping, or save the file as "CSV UTF-8"'
        refuse("file-encoding", "the file is UTF-16 without a mark, or no text", hint)
    if encoding == "windows-1252" and _is_utf8(data):
        hint = 'leave encoding out of the column mapping, or say "utf-8"'
        refuse("file-encoding", "the column mapping says windows-1252, the file is UTF-8", hint)
    return data.decode(encoding, "replace")


def _check_begin(data: bytes) -> None:
    """Raise WorksheetUnreadableError for a workbook that was sent as CSV."""
    if data.startswith(_WORKBOOK):
        refuse("csv-invalid", "this is a workbook, not CSV", "send it as XLSX")
    if data.startswith(_OLD_WORKBOOK):
        refuse("csv-invalid", "this is an old workbook (XLS), not CSV", "save it as XLSX")


def _is_utf8(data: bytes) -> bool:
    """Whether a file has more than ASCII and all of it is UTF-8, which doesn't come by chance."""
    if data.isascii():
        return False
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True
