"""A supplier's file as a sheet: cells with their places, read from CSV or from a workbook.

Files come from people one knows with contents one does not. CSV is read strictly and within
bounds; a workbook is looked at as an archive first and then read in a process of its own.
"""

from __future__ import annotations

from typing import Literal, assert_never

from service.operations.prices.csv_file import Encoding, read_csv
from service.operations.prices.sheet import MOST_BYTES, Worksheet, refuse
from service.operations.prices.workbook_file import read_workbook

FileKind = Literal["csv", "xlsx"]


def read_worksheet(
    data: bytes,
    kind: FileKind,
    *,
    sheet: str | None = None,
    delimiter: str = ",",
    encoding: Encoding = "utf-8",
) -> Worksheet:
    """The sheet in a file; of a workbook that by its name, or else the only filled one.

    Raises WorksheetUnreadableError.
    """
    if len(data) > MOST_BYTES:
        refuse("file-too-large", f"a file may have {MOST_BYTES} bytes at most")
    match kind:
        case "xlsx":
            return read_workbook(data, sheet or "")
        case "csv":
            return read_csv(data, delimiter, encoding)
        case _:
            assert_never(kind)
