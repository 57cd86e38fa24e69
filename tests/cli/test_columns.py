"""Columns: figures are never cut, words fold, color is for terminals that want it."""

import io
import json
from pathlib import Path

import msgspec
import pytest

from service.cli.columns import Column, aligned, console_for, print_columns, printable
from service.cli.tables import print_quote
from service.operations.quoting.answer import QuoteAnswer

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "quote_walls"


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """It does."""
        return True


@pytest.fixture
def plain(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """An environment that says nothing about terminals."""
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE", "COLUMNS", "COLORTERM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    return monkeypatch


def driveway() -> QuoteAnswer:
    """The answer of a wall with everything in it."""
    text = (EXAMPLES / "driveway_edge.response.json").read_bytes()
    return msgspec.json.decode(text, type=QuoteAnswer)


def test_console_for_colors_a_terminal(plain: pytest.MonkeyPatch) -> None:
    """A terminal gets color, one with NO_COLOR none, a pipe no escapes at all."""
    red = "\x1b[1;31m"
    stream = Terminal()
    print_quote(console_for(stream), driveway())
    assert red in stream.getvalue()
    plain.setenv("NO_COLOR", "1")
    stream = Terminal()
    print_quote(console_for(stream), driveway())
    assert red not in stream.getvalue()
    pipe = io.StringIO()
    print_quote(console_for(pipe), driveway())
    assert "\x1b" not in pipe.getvalue()


@pytest.mark.parametrize(
    ("columns", "width"), [(None, 100), ("90", 90), ("10", 72), ("500", 120), ("wide", 100)]
)
def test_console_for_keeps_within_bounds(
    plain: pytest.MonkeyPatch, columns: str | None, width: int
) -> None:
    """A pipe is 100 wide or as COLUMNS says, within what tables need and eyes can follow."""
    if columns is not None:
        plain.setenv("COLUMNS", columns)
    assert console_for(io.StringIO()).width == width


def test_console_for_prints_in_any_encoding(plain: pytest.MonkeyPatch) -> None:
    """Where a character does not fit the stream its code stands in its place."""
    plain.setenv("COLUMNS", "80")
    data = io.BytesIO()
    stream = io.TextIOWrapper(data, encoding="ascii")
    answer = msgspec.structs.replace(driveway(), title="Mauer für den Weg")
    print_quote(console_for(stream), answer)
    stream.flush()
    assert data.getvalue().startswith(b"Mauer f\\xfcr den Weg\n")


@pytest.mark.usefixtures("plain")
def test_print_columns_never_cuts_figures() -> None:
    """Words fold where room is short; a figure stands whole, even beyond the edge."""
    stream = io.StringIO()
    figure = "9" * 70
    words = "standard unit of a wall system with a very long name"
    columns = (
        Column(head="what", cells=[words], words=True),
        Column(head="how many", cells=[figure]),
        Column(head="nothing", cells=[""]),
    )
    print_columns(console_for(stream), "Test", columns)
    text = stream.getvalue()
    assert figure in text
    assert all(word in text for word in words.split())
    assert "nothing" not in text


def table(width: int, *columns: Column) -> list[str]:
    """The lines of a table in a place so wide."""
    stream = io.StringIO()
    console = console_for(stream)
    console.width = width
    print_columns(console, "Test", columns)
    return stream.getvalue().splitlines()


@pytest.mark.usefixtures("plain")
def test_print_columns_leaves_out_roomy_ones_that_do_not_fit() -> None:
    """A wide place shows a roomy column, unless names or figures would be cut for it."""
    name = Column(head="wall", cells=["around the tree"], words=True)
    price = Column(head="price", cells=["9" * 60])
    roomy = Column(head="kind", cells=["8" * 40], roomy=True)
    assert "8" * 40 in "".join(table(120, name, price, roomy))
    assert "kind" not in "".join(table(109, name, price, roomy))
    broad = Column(head="cost", cells=["7" * 50])
    assert "kind" not in "".join(table(120, name, broad, price, roomy))


@pytest.mark.usefixtures("plain")
def test_print_columns_narrows_gaps_before_it_is_too_wide() -> None:
    """13 + 6 + 50 and two gaps of 3 are 75; with gaps of 2 they are 73, and no narrower in 60. No
    word is broken."""
    columns = (
        Column(head="item", cells=["reinforcement and more"], words=True),
        Column(head="net", cells=["123456"]),
        Column(head="price", cells=["9" * 50]),
    )
    for width, longest in ((75, 75), (73, 73), (60, 73)):
        lines = table(width, *columns)
        assert max(map(len, lines)) == longest
        assert any(line.startswith("reinforcement ") for line in lines)


def test_aligned_ends_figures_together() -> None:
    """Units of different length don't move the figures apart."""
    assert aligned([("12", "each"), ("", ""), ("3.5", "t")]) == ["12 each", "", "3.5 t   "]


def test_printable_leaves_nothing_that_steers() -> None:
    """Control and direction characters are shown as question marks."""
    assert printable("a\x1b[31m\x9b\u202eb\n") == "a?[31m??b?"


def test_print_quote_prints_a_bare_quote() -> None:
    """Without labor, title, date and price list there is still a whole table."""
    text = (EXAMPLES / "inline_prices.response.json").read_text(encoding="utf-8")
    document = json.loads(text)
    del document["title"]
    document["assumptions"], document["cautions"] = [], []
    document["price"].update(margin=None, complete=True)
    stream = io.StringIO()
    answer = msgspec.json.decode(json.dumps(document).encode(), type=QuoteAnswer)
    print_quote(console_for(stream), answer)
    lines = stream.getvalue().splitlines()
    assert lines[:2] == ["Quote", "Prices from the request, in EUR"]
    assert not {"LABOR", "CAUTIONS", "ASSUMED", "NOT IN THIS TOTAL"} & set(lines)
    assert ["margin", "none"] in [line.split()[:2] for line in lines]
