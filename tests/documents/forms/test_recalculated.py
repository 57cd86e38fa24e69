"""The job cost sheet recalculated by a spreadsheet program: the same amounts to the cent.

Every value beside a formula is made 0 first, so that what is read was calculated.
"""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from decimal import Decimal
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from python_calamine import CalamineWorkbook

from service.documents.forms.workbook import workbook
from service.operations.paper.cost_sheet import AMOUNTS
from service.operations.paper.cost_workbook import cost_workbook
from tests.given.papers import sender_of, subject_of

EXAMPLES = ("garden_wall", "driveway_into_bank", "front_terrace_on_fill", "two_walls")
PROGRAM = shutil.which("soffice")
# A profile of its own: files are always calculated anew when they are opened (`Always` is 0).
PROFILE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""


def book(example: str) -> bytes:
    """The workbook about an example."""
    subject = subject_of(example)
    return workbook(cost_workbook(subject, sender_of(subject, "en", "letter")))


def emptied(data: bytes) -> bytes:
    """A workbook whose formulas have 0 beside them."""
    held = io.BytesIO()
    with ZipFile(io.BytesIO(data)) as parts, ZipFile(held, "w", ZIP_DEFLATED) as made:
        for name in parts.namelist():
            text = parts.read(name)
            made.writestr(name, re.sub(rb"(</f>)<v>[^<]*</v>", rb"\1<v>0</v>", text))
    return held.getvalue()


def sheets_of(data: bytes) -> dict[str, list[list[object]]]:
    """What each sheet shows, without calculating."""
    found = CalamineWorkbook.from_filelike(io.BytesIO(data))
    return {
        name: [list(row) for row in found.get_sheet_by_name(name).to_python()]
        for name in found.sheet_names
    }


def amounts_of(data: bytes) -> dict[str, object]:
    """The roll-up of a workbook by the names of its amounts."""
    rows = sheets_of(data)["Price"]
    return {name: row[1] for name, row in zip(AMOUNTS, rows[1:], strict=True)}


@pytest.fixture(scope="module")
def recalculated(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The workbooks of the examples, opened and stored by the program."""
    if PROGRAM is None:
        pytest.skip("LibreOffice (Debian's libreoffice-calc-nogui) isn't installed")
    folder = tmp_path_factory.mktemp("books")
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(PROFILE, encoding="utf-8")
    for example in EXAMPLES:
        (folder / f"{example}.xlsx").write_bytes(emptied(book(example)))
    files = [str(folder / f"{example}.xlsx") for example in EXAMPLES]
    into = folder / "calculated"
    subprocess.run(
        [
            PROGRAM,
            f"-env:UserInstallation={profile.as_uri()}",
            "--headless",
            "--convert-to",
            "xlsx",
            "--outdir",
            str(into),
            *files,
        ],
        capture_output=True,
        check=True,
        timeout=240,
    )
    return {example: Path(into / f"{example}.xlsx").read_bytes() for example in EXAMPLES}


@pytest.mark.parametrize("example", EXAMPLES)
def test_workbook_recalculated_has_the_amounts_of_the_answer(
    example: str, recalculated: dict[str, bytes]
) -> None:
    """Each amount of the roll-up, calculated from the lines, is that of the answer to the cent;
    the margin to its four places."""
    price = subject_of(example).answer.price
    found = amounts_of(recalculated[example])
    for name in AMOUNTS:
        said = getattr(price, name)
        if said is None:
            continue
        assert isinstance(found[name], float | int), name
        assert abs(Decimal(str(found[name])) - Decimal(said)) < Decimal("0.00005"), name
    assert amounts_of(emptied(book(example)))["total"] == 0


@pytest.mark.parametrize("example", EXAMPLES)
def test_workbook_recalculated_has_the_costs_of_the_lines(
    example: str, recalculated: dict[str, bytes]
) -> None:
    """The cost of each line is that of the answer to the cent."""
    rows = sheets_of(recalculated[example])["Lines"][1:]
    costs = [Decimal(str(row[9])).quantize(Decimal("0.01")) for row in rows]
    assert costs == [Decimal(line.cost) for line in subject_of(example).answer.price.lines]
