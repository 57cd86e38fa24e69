"""Reads one sheet of a workbook in a process of its own, with bounds on memory and time.

    python -I workbook_child.py [SHEET] < FILE > JSON

A workbook of two kilobytes can make its reader ask for gigabytes and end the process; so the
process is this one. Prints `{"sheet", "sheets", "rows"}`: a text as it is, a number as
`{"number": "6.85"}` with the digits of its shortest form, a day as `{"day": …}`, true and false
as they are, an empty cell as null; or `{"fault": …}`. Imports nothing of the service.
"""

from __future__ import annotations

import io
import json
import resource
import sys
from datetime import date

MEMORY_BYTES = 768 * 1024 * 1024
CPU_SECONDS = 10
MOST_ROWS, MOST_COLUMNS, MOST_CELLS = 100_000, 200, 1_000_000


def main(wanted: str) -> dict[str, object]:
    """What is printed for the workbook on stdin."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    from python_calamine import CalamineWorkbook  # noqa: PLC0415  not before the limits hold

    book = CalamineWorkbook.from_filelike(io.BytesIO(sys.stdin.buffer.read()))
    sheets = book.sheet_names
    name = wanted or (sheets[0] if sheets else "")
    if name not in sheets:
        return {"fault": "no-sheet", "sheets": sheets[:50]}
    sheet = book.get_sheet_by_name(name)
    size = (sheet.total_height, sheet.total_width)
    if size[0] > MOST_ROWS or size[1] > MOST_COLUMNS or size[0] * size[1] > MOST_CELLS:
        return {"fault": "too-large", "size": size}
    rows = [[_cell(value) for value in row] for row in sheet.to_python(skip_empty_area=False)]
    return {"sheet": name, "sheets": sheets[:50], "rows": rows}


def _cell(value: object) -> object:
    """A cell as JSON."""
    if value is None or value == "":
        return None
    if isinstance(value, (bool, str)):
        return value
    if isinstance(value, (int, float)):
        return {"number": repr(value)}
    if isinstance(value, date):
        return {"day": value.isoformat()[:10]}
    return str(value)


if __name__ == "__main__":
    json.dump(main(sys.argv[1] if len(sys.argv) > 1 else ""), sys.stdout)
