"""Sheets as CSV and XLSX: no text is a formula or a link, a formula has its value beside it."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from decimal import Decimal
from zipfile import ZipFile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from python_calamine import CalamineWorkbook

from service.core.measure import UnitSetName
from service.documents.forms.csv_file import csv_file
from service.documents.forms.workbook import workbook
from service.documents.letters import printable
from service.documents.sheets import Cell, Sheet, Workbook
from service.documents.spreadsheet_text import LEAD_INS
from service.documents.tree import Language
from service.documents.words import words_of
from tests.given.sample_papers import HOSTILE, book_of

TEXTS = st.text(st.characters(exclude_categories=()), max_size=60)


def read_back(book: Workbook) -> list[list[object]]:
    """The rows of the first sheet, as another program reads them."""
    sheet = CalamineWorkbook.from_filelike(io.BytesIO(workbook(book))).get_sheet_by_index(0)
    return [list(row) for row in sheet.to_python(skip_empty_area=False)]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_workbook_takes_any_text_as_text(text: str) -> None:
    """A text is read back as it is printed; the only formula is ours; nothing leads elsewhere."""
    data = workbook(book_of(text))
    rows = read_back(book_of(text))
    assert rows[1][0] == rows[2][0] == printable(text)
    with ZipFile(io.BytesIO(data)) as parts:
        sheet = parts.read("xl/worksheets/sheet1.xml").decode()
        assert re.findall("<f>(.*?)</f>", sheet) == ["B2*C2"]
        assert "<hyperlink" not in sheet
        assert not [name for name in parts.namelist() if "external" in name.lower()]


def test_workbook_has_the_value_beside_the_formula() -> None:
    """Who reads without calculating sees the value, and what is a figure is a number."""
    rows = read_back(book_of("x"))
    assert rows[2][1] == 2469.0
    assert rows[1][1:] == [1234.5, 2.0]
    assert rows[2][2] == 0.075


def formats_of(book: Workbook) -> list[str]:
    """The formats of figures in a workbook (ECMA-376, 18.8.30)."""
    with ZipFile(io.BytesIO(workbook(book))) as parts:
        styles = etree.fromstring(parts.read("xl/styles.xml"))
    return [str(entry.get("formatCode")) for entry in styles.iter("{*}numFmt")]


@pytest.mark.parametrize(
    ("language", "units", "currency", "shown"),
    [
        ("en", "us", "USD", '"$"#,##0.00'),
        ("es", "us", "USD", '"$"#,##0.00'),
        ("es", "metric", "EUR", '#,##0.00"\N{NO-BREAK SPACE}€"'),
        ("en", "metric", "CHF", '"CHF"#,##0.00'),
    ],
)
def test_workbook_shows_money_with_its_sign(
    language: Language, units: UnitSetName, currency: str, shown: str
) -> None:
    """A sum has the sign of its currency where the language puts it, as on paper; a share is a
    percentage. Grouping and decimal sign are the reader's program's."""
    marks = words_of(language, units).money_marks(currency)
    found = formats_of(replace(book_of("x"), money=marks))
    assert shown in found
    assert "0.0%" in found


def test_workbook_takes_any_sign_as_text() -> None:
    """A quotation mark in a sign ends no literal."""
    cells = (Cell(value=Decimal(1), shown="money"),)
    sheet = Sheet(name="s", titles=("a",), rows=(cells,))
    book = Workbook(title="t", author="a", money=('"0;[Red]"', ""), sheets=(sheet,))
    assert '"0;[Red]"#,##0.00' in formats_of(book)


@pytest.mark.parametrize(
    "name", ["a/b\\c:d*e?f[g]h", "'quoted'", "x" * 60, "", "History", "\x00", "石墙", "same"]
)
def test_workbook_takes_any_name_of_a_sheet(name: str) -> None:
    """A sheet is named by a supplier: what a workbook can't have in a name is replaced, a name
    that is there twice is told apart by its number."""
    sheet = Sheet(name=name, titles=("a",), rows=((Cell(value="b"),),))
    book = Workbook(title="t", author="a", money=("$", ""), sheets=(sheet, sheet))
    names = CalamineWorkbook.from_filelike(io.BytesIO(workbook(book))).sheet_names
    assert len({found.lower() for found in names}) == 2
    assert all(0 < len(found) <= 31 for found in names)


@settings(max_examples=60, deadline=None)
@given(text=TEXTS)
def test_sheets_never_fail(text: str) -> None:
    """No text makes a workbook or a CSV file fail, or begin a formula in one."""
    assert read_back(book_of(text))[1][0] == printable(text)
    rows = list(csv.reader(io.StringIO(csv_file(book_of(text).sheets[0]).decode(), newline="")))
    assert all(not row[0].startswith(LEAD_INS) for row in rows)
    assert rows[1][0] in {printable(text), f"'{printable(text)}"}


def test_csv_writes_figures_as_they_are() -> None:
    """Figures have a decimal point, their places and no grouping; a negative one is a number."""
    cells = (
        Cell(value=Decimal("-1234.50"), shown="money"),
        Cell(value=Decimal("0.075"), shown="share", places=3),
        Cell(value="-x"),
    )
    sheet = Sheet(name="s", titles=("a", "b", "c"), rows=(cells,))
    assert csv_file(sheet).decode() == "a,b,c\r\n-1234.50,0.075,'-x\r\n"
