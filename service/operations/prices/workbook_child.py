"""Reads one sheet of a workbook in a process of its own, with bounds on memory and time.

    python -I workbook_child.py [SHEET] < FILE > JSON

A workbook of two kilobytes can make its reader ask for gigabytes and end the process; so the
process is this one. Prints `{"sheet", "sheets", "rows", "hidden_rows", "hidden_columns",
"signs"}`: a text as it is, a number as `{"number": "6.85"}` with the digits of its shortest form,
a day as `{"day": …}`, true and false as they are, an empty cell as null; rows and columns from 0;
`signs` are [row, column, sign] of numbers that are shown with a currency or a percent. Or prints
`{"fault": …}`. Imports nothing of the service.
"""

from __future__ import annotations

import io
import json
import posixpath
import re
import resource
import sys
import zipfile
from collections.abc import Mapping
from datetime import date
from typing import Any
from xml.etree import ElementTree as ET
from xml.parsers import expat

MEMORY_BYTES = 768 * 1024 * 1024
CPU_SECONDS = 10
MOST_ROWS, MOST_COLUMNS, MOST_CELLS = 100_000, 200, 1_000_000
MOST_NAMES = 50
# What a cell that is read may hold. One character more is handed back of a longer one, so that it
# is seen to be longer: a text that stands in the file once may be shown in every cell.
MOST_CHARACTERS = 2_000
MOST_TEXT = 8_000_000  # characters of all cells together: 100,000 rows of 80
MOST_NAME_CHARACTERS = 100
MOST_SIGN_CHARACTERS = 8
# Formats that every workbook has without saying so (ISO/IEC 29500-1, 18.8.30).
PERCENT_FORMATS = {"9", "10"}


def main(wanted: str) -> dict[str, object]:
    """What is printed for the workbook on stdin."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    from python_calamine import CalamineWorkbook  # noqa: PLC0415  not before the limits hold

    data = sys.stdin.buffer.read()
    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    sheets = book.sheet_names
    filled = [wanted] if wanted else _filled(book)
    if len(filled) > 1:
        return {"fault": "sheet-unclear", "sheets": _names(filled)}
    name = filled[0] if filled else "".join(sheets[:1])
    if name not in sheets:
        return {"fault": "no-sheet", "sheets": _names(sheets)}
    sheet = book.get_sheet_by_name(name)
    size = (sheet.total_height, sheet.total_width)
    if size[0] > MOST_ROWS or size[1] > MOST_COLUMNS or size[0] * size[1] > MOST_CELLS:
        return {"fault": "too-large", "size": size}
    # Row by row, so that a long text is cut before the next one is made; rows come without the
    # empty columns before the first value.
    before = [None] * sheet.start[1] if sheet.start else []
    rows = [[*before, *(_cell(value) for value in row)] for row in sheet.iter_rows()]
    if sum(_length(cell) for row in rows for cell in row) > MOST_TEXT:
        return {"fault": "too-much-text"}
    told = {"sheet": name[:MOST_NAME_CHARACTERS], "sheets": _names(sheets), "rows": rows}
    return {**told, **_shown(data, name, (len(rows), max(map(len, rows), default=0)))}


def _names(sheets: list[str]) -> list[str]:
    """The first sheets by their names, cut."""
    return [name[:MOST_NAME_CHARACTERS] for name in sheets[:MOST_NAMES]]


def _filled(book: Any) -> list[str]:  # noqa: ANN401  calamine is not imported yet
    """Sheets that are shown and have a cell."""
    shown = [each.name for each in book.sheets_metadata if str(each.visible).endswith(".Visible")]
    return [name for name in shown if book.get_sheet_by_name(name).height]


def _cell(value: object) -> object:
    """A cell as JSON."""
    if value is None or value == "":
        return None
    if isinstance(value, str):
        return value[: MOST_CHARACTERS + 1]
    if isinstance(value, bool):
        return value
    if isinstance(value, (int, float)):
        return {"number": repr(value)}
    if isinstance(value, date):
        return {"day": value.isoformat()[:10]}
    return str(value)


def _length(cell: object) -> int:
    return len(cell) if isinstance(cell, str) else 0


def _shown(data: bytes, name: str, size: tuple[int, int]) -> dict[str, object]:
    """What people see of the sheet that its values don't say."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        seen = _Seen(_signs_by_style(archive), size)
        part = archive.read(_part_of(archive, name))
    parser = expat.ParserCreate()
    parser.StartElementHandler = seen.start
    parser.Parse(part, True)
    signs = [(*place, sign) for place, sign in seen.signs.items()]
    return {"hidden_rows": list(seen.rows), "hidden_columns": list(seen.columns), "signs": signs}


class _Seen:
    """What is gathered while a sheet's part is read, element by element, with no tree of it.

    What a part says of cells outside the sheet, or twice, is not gathered.
    """

    def __init__(self, formats: Mapping[str, str], size: tuple[int, int]) -> None:
        self.rows: set[int] = set()
        self.columns: set[int] = set()
        self.signs: dict[tuple[int, int], str] = {}
        self._formats = formats
        self._height, self._width = size
        self._row, self._column = -1, -1

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        """An element begins."""
        kind = name.rpartition(":")[2]
        if kind == "c":
            self._cell(attributes)
        elif kind == "row":
            self._row, self._column = int(attributes.get("r", self._row + 2)) - 1, -1
            if self._row < self._height and _is_hidden(attributes):
                self.rows.add(self._row)
        elif kind == "col" and _is_hidden(attributes):
            last = min(int(attributes["max"]), self._width)
            self.columns.update(range(int(attributes["min"]) - 1, last))

    def _cell(self, attributes: Mapping[str, str]) -> None:
        place = attributes.get("r", "")
        self._column = _number(place.rstrip("0123456789")) if place else self._column + 1
        inside = self._row < self._height and self._column < self._width
        if inside and (sign := self._formats.get(attributes.get("s", "0"))):
            self.signs[self._row, self._column] = sign


def _number(letters: str) -> int:
    """The number of a column from 0."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number - 1


def _is_hidden(attributes: Mapping[str, str]) -> bool:
    return attributes.get("hidden") in {"1", "true"}


def _part_of(archive: zipfile.ZipFile, name: str) -> str:
    """The part of the archive that a sheet stands in."""
    book = ET.fromstring(archive.read("xl/workbook.xml"))  # noqa: S314  bounded
    sheets = (each for each in book.iter() if _local(each.tag) == "sheet")
    sheet = next(each for each in sheets if each.get("name") == name)
    wanted = next(value for key, value in sheet.attrib.items() if _local(key) == "id")
    links = ET.fromstring(archive.read("xl/_rels/workbook.xml.rels"))  # noqa: S314
    target = next(each.attrib["Target"] for each in links if each.get("Id") == wanted)
    return posixpath.normpath(posixpath.join("/xl", target)).lstrip("/")


def _signs_by_style(archive: zipfile.ZipFile) -> dict[str, str]:
    """The currency or percent that each style of cells shows, by the style's number."""
    if "xl/styles.xml" not in archive.namelist():
        return {}
    styles = ET.fromstring(archive.read("xl/styles.xml"))  # noqa: S314  bounded
    signs = dict.fromkeys(PERCENT_FORMATS, "%")
    for each in styles.iter():
        if _local(each.tag) == "numFmt":
            signs[each.get("numFmtId", "")] = _sign_in(each.get("formatCode", ""))
    rows = next((each for each in styles if _local(each.tag) == "cellXfs"), ())
    return {str(number): signs.get(row.get("numFmtId", ""), "") for number, row in enumerate(rows)}


def _sign_in(code: str) -> str:
    """The currency or percent in a format of numbers, such as `[$€-407] #,##0.00`."""
    named = re.search(r"\[\$([^\]\-]+)", code)
    if named:
        return named.group(1).strip()[:MOST_SIGN_CHARACTERS]
    sign = re.search("[%$£¥\u20a0-\u20c0]", code)
    return sign.group() if sign else ""


def _local(tag: str) -> str:
    """A name without its namespace."""
    return tag.rpartition("}")[2]


if __name__ == "__main__":
    answer = main(sys.argv[1] if len(sys.argv) > 1 else "")
    sys.stdout.buffer.write(json.dumps(answer, ensure_ascii=False).encode("utf-8"))
