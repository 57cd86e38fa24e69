"""Suppliers' files as sheets: cells with their places, and hostile files that harm nothing."""

import time
from decimal import Decimal

import pytest

from service.core.errors import Fault
from service.operations.prices.csv_file import Encoding
from service.operations.prices.sheet import WorksheetUnreadableError, column_letters
from service.operations.prices.worksheet import FileKind, read_worksheet
from tests.given.price_files import HOSTILE_CSV, HOSTILE_WORKBOOKS, csv_file, workbook


def faults_of(data: bytes, kind: FileKind) -> tuple[Fault, ...]:
    """What is wrong with a file; nothing where it can be read."""
    try:
        read_worksheet(data, kind)
    except WorksheetUnreadableError as error:
        return error.faults
    return ()


@pytest.mark.parametrize(
    ("column", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")]
)
def test_column_letters_count_like_a_spreadsheet(column: int, letters: str) -> None:
    """After Z comes AA, after ZZ comes AAA."""
    assert column_letters(column) == letters


def test_read_sheet_takes_numbers_by_their_digits() -> None:
    """A number of a workbook is the shortest decimal that means it: 6.85, and 7.0 is 7."""
    sheet = read_worksheet(workbook(["item", "cost"], ["block", 6.85], ["cap", 7]), "xlsx")
    assert sheet.rows[1:] == (("block", Decimal("6.85")), ("cap", Decimal("7.0")))
    assert sheet.place(1, 1) == "Prices!B2"


def test_read_sheet_counts_from_the_first_cell() -> None:
    """Empty rows and columns before the first value keep their places."""
    sheet = read_worksheet(workbook([], [], [None, None, "item"]), "xlsx")
    assert sheet.rows[2][2] == "item"
    assert sheet.place(2, 2) == "Prices!C3"
    assert not any(sheet.rows[0])


def test_read_sheet_finds_a_sheet_by_its_name() -> None:
    """The only filled sheet is read unless one is named; a name that isn't there lists those that
    are."""
    data = workbook(["item"], before="Cover")
    assert read_worksheet(data, "xlsx").name == "Prices"
    assert read_worksheet(data, "xlsx", sheet="Cover").rows == ()
    with pytest.raises(WorksheetUnreadableError) as caught:
        read_worksheet(data, "xlsx", sheet="Price\0s")
    with pytest.raises(WorksheetUnreadableError) as caught:
        read_worksheet(data, "xlsx", sheet="Price")
    (fault,) = caught.value.faults
    assert (fault.code, fault.hint) == ("no-such-sheet", "one of: 'Cover', 'Prices'")


def test_read_sheet_counts_lines_of_csv() -> None:
    """A field may hold line ends; the next row is counted by the line it begins on. A mark at the
    beginning is no part of the first heading."""
    data = b"\xef\xbb\xbf" + csv_file("item,cost", '"two\r\nlines",1', "cap,2")
    sheet = read_worksheet(data, "csv")
    assert sheet.rows == (("item", "cost"), ("two\r\nlines", "1"), ("cap", "2"))
    assert [sheet.place(number, 1) for number in range(3)] == [
        "line 1, column B",
        "line 2, column B",
        "line 4, column B",
    ]


def test_read_sheet_takes_another_delimiter_and_encoding() -> None:
    """Semicolons and Windows' own encoding are read where the mapping says so."""
    data = "item;cost\r\nBl\xf6cke;1\r\n".encode("windows-1252")
    sheet = read_worksheet(data, "csv", delimiter=";", encoding="windows-1252")
    assert sheet.rows[1] == ("Blöcke", "1")


@pytest.mark.parametrize("codec", ["utf-8-sig", "utf-16", "utf-16-le-mark", "utf-16-be-mark"])
def test_read_sheet_goes_by_the_mark_at_the_beginning(codec: str) -> None:
    """A mark says UTF-8 or UTF-16, whatever the mapping says."""
    text = "item\tcost\r\nBlöcke 7,10 €\t1\r\n"
    marked = codec.removesuffix("-mark")
    data = (text if marked == codec else f"\ufeff{text}").encode(marked)
    encodings: tuple[Encoding, ...] = ("utf-8", "windows-1252", "utf-16")
    for encoding in encodings:
        sheet = read_worksheet(data, "csv", delimiter="\t", encoding=encoding)
        assert sheet.rows == (("item", "cost"), ("Blöcke 7,10 €", "1"))


def test_read_sheet_takes_utf_16_without_a_mark_where_it_is_told() -> None:
    """Without a mark UTF-16 has to be said: else the file is refused with that remedy."""
    data = "item,cost\r\nblock,1\r\n".encode("utf-16-le")
    assert read_worksheet(data, "csv", encoding="utf-16").rows[1] == ("block", "1")
    with pytest.raises(WorksheetUnreadableError) as caught:
        read_worksheet(data, "csv")
    (fault,) = caught.value.faults
    assert fault.code == "file-encoding"
    assert "utf-16" in str(fault.hint)


def test_read_sheet_refuses_utf_8_that_is_called_windows_1252() -> None:
    """Signs of UTF-8 would become others in silence."""
    with pytest.raises(WorksheetUnreadableError) as caught:
        read_worksheet("item\r\nBlöcke\r\n".encode(), "csv", encoding="windows-1252")
    assert caught.value.faults[0].code == "file-encoding"


@pytest.mark.no_cover  # others run the same lines
@pytest.mark.parametrize("name", list(HOSTILE_WORKBOOKS))
def test_read_sheet_survives_hostile_workbooks(name: str) -> None:
    """Whatever the file does, this process lives, soon, and says what is wrong if anything is."""
    began = time.monotonic()
    faults = faults_of(HOSTILE_WORKBOOKS[name](), "xlsx")
    assert all(fault.message for fault in faults)
    assert time.monotonic() - began < 20


@pytest.mark.parametrize(
    "name",
    ["no archive", "cut off", "far cells", "far column", "many parts", "great ratio", "random"],
)
def test_read_sheet_refuses_what_is_no_price_list(name: str) -> None:
    """What is no workbook, or reaches over a whole sheet, or unpacks to no end, is refused."""
    with pytest.raises(WorksheetUnreadableError) as caught:
        read_worksheet(HOSTILE_WORKBOOKS[name](), "xlsx")
    assert caught.value.faults[0].code in {"workbook-invalid", "file-too-large"}


@pytest.mark.parametrize("name", list(HOSTILE_CSV))
def test_read_sheet_survives_hostile_csv(name: str) -> None:
    """Text that is no strict CSV within bounds is refused with its line, or is harmless."""
    faults = faults_of(HOSTILE_CSV[name](), "csv")
    assert all(fault.message for fault in faults)


@pytest.mark.parametrize(
    "name",
    ["a workbook", "text after a quote", "quote never closed", "200,000 rows"],
)
def test_read_sheet_refuses_what_is_no_csv(name: str) -> None:
    """Nothing is repaired in silence."""
    with pytest.raises(WorksheetUnreadableError):
        read_worksheet(HOSTILE_CSV[name](), "csv")


def test_read_sheet_refuses_what_is_too_large() -> None:
    """A file ends at 16 MiB."""
    with pytest.raises(WorksheetUnreadableError) as caught:
        read_worksheet(b"x" * (16 * 1024 * 1024 + 1), "csv")
    assert caught.value.faults[0].code == "file-too-large"
