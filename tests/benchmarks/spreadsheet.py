"""The same roll-up as formulas of a workbook, recalculated by a spreadsheet program.

LibreOffice takes the values of a workbook as they are kept unless its settings say otherwise, and
formulas without values stay 0: a profile of its own says always, or never, and what the cells hold
after is looked at. Never is opening and saving alone, the rest is the recalculation.
"""

from __future__ import annotations

import resource
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import xlsxwriter
from python_calamine import CalamineWorkbook

from tests.benchmarks.season import DIFFERENT, Season, plain_subtotal, rows

ALWAYS, NEVER = 0, 1
CENTS = 0.025
_SETTINGS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>{mode}</value></prop>
</item>
</oor:items>
"""


@dataclass(frozen=True, kw_only=True)
class Spreadsheet:
    """CPU seconds of the program: opening, recalculating and saving, and what recalculating adds
    to opening and saving."""

    whole: float
    recalculation: float


class NotRecalculatedError(Exception):
    """The program kept cells as they were, so that there is nothing to compare with."""


def find_program() -> str | None:
    """Where the spreadsheet program is, or None."""
    return shutil.which("soffice") or shutil.which("libreoffice")


def measure_spreadsheet(program: str, folder: Path, quotes: Season, count: int) -> Spreadsheet:
    """A workbook of so many quotes, with and without recalculation. Raises NotRecalculatedError."""
    book = folder / "quotes.xlsx"
    write_workbook(book, quotes, count)
    seconds = {mode: convert(program, book, folder / str(mode), mode) for mode in (ALWAYS, NEVER)}
    check_cells(folder / str(ALWAYS) / book.name, quotes, count)
    return Spreadsheet(whole=seconds[ALWAYS], recalculation=seconds[ALWAYS] - seconds[NEVER])


def convert(program: str, book: Path, folder: Path, mode: int) -> float:
    """Open a workbook and save it in a folder; returns CPU seconds of the program."""
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True)
    settings = _SETTINGS.format(mode=mode)
    (profile / "user" / "registrymodifications.xcu").write_text(settings, "utf-8")
    command = [program, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--norestore"]
    command += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(folder), str(book)]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def check_cells(book: Path, quotes: Season, count: int) -> None:
    """Every subtotal is that of a loop over Decimals, but for cents that binary fractions put on
    the other side of a half. Raises NotRecalculatedError."""
    cells = CalamineWorkbook.from_path(str(book)).get_sheet_by_name("quotes").to_python()
    expected = [float(plain_subtotal(each, quotes.now)) for each in quotes.inputs]
    for at in range(count):
        found = float(str(cells[at][3]))
        if abs(found - expected[at % DIFFERENT]) > CENTS:
            message = f"quote {at} holds {found}, it should be {expected[at % DIFFERENT]}"
            raise NotRecalculatedError(message)


def write_workbook(path: Path, quotes: Season, count: int) -> None:
    """Prices on one sheet, a row a quote on another: 25 looked-up, rounded products and the
    roll-up as formulas without values."""
    book = xlsxwriter.Workbook(str(path), {"constant_memory": True})
    prices = book.add_worksheet("prices")
    for at, (name, price) in enumerate(quotes.now.items.items()):
        prices.write_row(at, 0, (name, float(price.unit_cost)))
    sheet = book.add_worksheet("quotes")
    last = len(quotes.now.items)
    by_quote: dict[int, list[tuple[int, int]]] = {}
    for quote, item, amount, _ in rows(quotes, count):
        by_quote.setdefault(quote, []).append((item, amount))
    names = list(quotes.now.items)
    for quote, lines in by_quote.items():
        costs = "+".join(
            f'ROUND({amount / 100}*VLOOKUP("{names[item]}",prices!$A$1:$B${last},2,FALSE),2)'
            for item, amount in lines
        )
        row = quote + 1
        sheet.write_formula(quote, 0, f"={costs}")
        sheet.write_formula(quote, 1, f"=A{row}+ROUND(A{row}*0.1,2)")
        sheet.write_formula(quote, 2, f"=B{row}+ROUND(B{row}*0.05,2)")
        sheet.write_formula(quote, 3, f"=C{row}+ROUND(C{row}*0.18/0.82,2)")
    book.close()
