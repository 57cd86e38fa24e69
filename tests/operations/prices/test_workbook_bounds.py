"""What a workbook may take of the machine: of its child, and of the process that asks it."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from service.operations.prices import workbook_child
from service.operations.prices.sheet import WorksheetUnreadableError
from service.operations.prices.worksheet import read_worksheet
from tests.given.price_files import raw_workbook, row, shown_often, text_cell

CHILD = Path(workbook_child.__file__)
MIB = 1024 * 1024
KILLED = -9
# Reads the file on stdin as a sheet; prints the bytes by which the process grew at its highest.
GROWTH = """
import resource, sys
from service.operations.prices.sheet import WorksheetUnreadableError
from service.operations.prices.worksheet import read_worksheet
data = sys.stdin.buffer.read()
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
sheet = read_worksheet(data, "xlsx")
grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
print(grown * 1024, len(sheet.rows), max(len(cell) for cells in sheet.rows for cell in cells))
"""


def test_read_sheet_keeps_small_what_a_workbook_shows_often() -> None:
    """A text of 200,000 letters that 1,500 cells show: 5 kB that would be 300 MB. The process
    that asked grows by 64 MiB at most, and has each cell up to one letter over what is read."""
    data = shown_often("x" * 200_000, 300, 5)
    assert len(data) < 5_000
    command = [sys.executable, "-c", GROWTH]
    told = subprocess.run(command, input=data, capture_output=True, check=True)
    grown, rows, longest = map(int, told.stdout.split())
    assert (rows, longest) == (300, 2001)
    assert grown <= 64 * MIB


def test_read_sheet_refuses_more_text_than_any_price_list() -> None:
    """1,500 cells of 2,000 letters are read; 5,000 of them are over 8 million letters."""
    assert len(read_worksheet(shown_often("x" * 2000, 300, 5), "xlsx").rows) == 300
    with pytest.raises(WorksheetUnreadableError) as caught:
        read_worksheet(shown_often("x" * 2000, 1000, 5), "xlsx")
    (fault,) = caught.value.faults
    assert (fault.code, "8000000 characters" in fault.message) == ("file-too-large", True)


def test_read_sheet_tells_signs_inside_the_sheet_once() -> None:
    """A sign of any length, told by every cell of a million that stand in one place: it is
    handed back once, and cut."""
    cells = '<c r="A1" s="1"/>' * 1000 + '<c r="A9" s="1"/>'
    styles = (
        '<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        f'<numFmts><numFmt numFmtId="164" formatCode="[${"E" * 100}-407] 0"/></numFmts>'
        '<cellXfs><xf numFmtId="0"/><xf numFmtId="164"/></cellXfs></styleSheet>'
    )
    sheet = row(1, text_cell("A1", "item")) + f'<row r="1" hidden="1">{cells}</row>'
    told = child(raw_workbook(sheet, parts={"xl/styles.xml": styles}))
    assert told["signs"] == [[0, 0, "E" * 8]]
    assert told["hidden_rows"] == [0]


def child(data: bytes) -> dict[str, object]:
    """What the child prints for a file."""
    command = [sys.executable, "-I", str(CHILD), ""]
    done = subprocess.run(command, input=data, capture_output=True, check=True)
    return dict(json.loads(done.stdout))


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize(
    ("work", "ends"),
    [
        ("b'x' * (700 * 1024 * 1024)", 0),
        ("b'x' * (800 * 1024 * 1024)", 1),
        ("next(n for n in iter(int, 1) if n)", KILLED),
    ],
    ids=["memory within", "memory beyond", "no end"],
)
def test_workbook_child_is_bounded(work: str, ends: int, tmp_path: Path) -> None:
    """A reader that asks for more than 768 MiB fails; one that has no end is killed by its CPU
    limit, of 10 s, here of 1 s."""
    reader = (
        "class CalamineWorkbook:\n    @staticmethod\n    def from_filelike(_):\n"
        f"        {work}\n        raise SystemExit(0)\n"
    )
    (tmp_path / "python_calamine.py").write_text(reader, encoding="utf-8")
    run = (
        f"import sys; sys.path[:0] = [{str(tmp_path)!r}, {str(CHILD.parent)!r}]\n"
        "import workbook_child\n"
        "assert workbook_child.CPU_SECONDS == 10\n"
        f"workbook_child.CPU_SECONDS = {1 if ends == KILLED else 10}\n"
        "workbook_child.main('')\n"
    )
    command = [sys.executable, "-I", "-c", run]
    done = subprocess.run(command, input=b"", capture_output=True, check=False, timeout=15)
    assert done.returncode == ends, done.stderr
