"""Columns of text on a terminal or in a pipe: the layout behind the tables.

Nothing printed here is read as markup, and control characters can't reach the terminal.
"""

from __future__ import annotations

import io
import os
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TextIO

from rich import box
from rich.cells import cell_len
from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from service.core.measure import with_signs

NARROWEST, WIDEST, IN_A_PIPE = 72, 120, 100
# From here on there is room for what can be left out.
ROOMY = 110
GAP, TIGHT_GAP, LEAST_WORDS = 3, 2, 20
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column: figures stand to the right, words to the left; `roomy` ones need a wide place."""

    head: str
    cells: Sequence[str]
    words: bool = False
    roomy: bool = False


def console_for(stream: TextIO) -> Console:
    """A console that fits a stream: a terminal's width within bounds, COLUMNS or 100 in a pipe.

    Colors are for terminals alone and follow NO_COLOR.
    """
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="backslashreplace")  # a title may not fit the encoding
    console = Console(file=stream, markup=False, highlight=False, emoji=False)
    piped = not console.is_terminal and not os.environ.get("COLUMNS", "").isdecimal()
    console.width = min(max(IN_A_PIPE if piped else console.width, NARROWEST), WIDEST)
    return console


def is_roomy(console: Console) -> bool:
    """Whether roomy columns are shown."""
    return console.width >= ROOMY


def printable(text: str) -> str:
    """A text that can't steer a terminal: control and direction characters become `?`."""
    return _CONTROL.sub("?", text)


def shown(text: str, style: str = "") -> Text:
    """A text as it is shown, without markup, its units with their signs."""
    return Text(with_signs(printable(text)), style=style)


def aligned(pairs: Iterable[tuple[str, str]]) -> list[str]:
    """Figures with their units, for a column that stands to the right: figures end together."""
    held = list(pairs)
    width = max((len(unit) for _, unit in held), default=0)
    return [f"{figure} {unit:<{width}}" if figure else "" for figure, unit in held]


def print_text(console: Console, text: str, style: str = "") -> None:
    """A line or a paragraph."""
    _print(console, shown(text, style))


def print_heading(console: Console, heading: str) -> None:
    """The heading of a part."""
    console.print()
    print_text(console, heading.upper(), "bold")


def print_columns(console: Console, heading: str, columns: Sequence[Column]) -> None:
    """A part with its heading; columns without any cell are left out, as are roomy ones where they
    don't fit.

    Words fold and gaps narrow where there is little room; figures and words are never cut, so a
    line may be longer than that.
    """
    kept = [column for column in columns if any(column.cells)]
    if not is_roomy(console) or _least_width(kept, GAP) > console.width:
        kept = [column for column in kept if not column.roomy]
    gap = GAP if _least_width(kept, GAP) <= console.width else TIGHT_GAP
    table = _table(kept, gap)
    print_heading(console, heading)
    _print(console, table, width=max(console.width, _least_width(kept, gap)))


def _table(columns: Sequence[Column], gap: int) -> Table:
    padding = (0, 1, 0, gap - TIGHT_GAP)  # one blank stands between columns anyway
    table = Table(
        box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, header_style="dim", padding=padding
    )
    for column in columns:
        if column.words:
            table.add_column(column.head, overflow="fold")
        else:
            table.add_column(column.head, justify="right", no_wrap=True)
    for cells in zip(*(column.cells for column in columns), strict=True):
        table.add_row(*map(shown, cells))
    return table


def _least_width(columns: Sequence[Column], gap: int) -> int:
    """What columns need: each its figures, or its longest word, and the gaps between them."""
    return sum(map(_least, columns)) + gap * (len(columns) - 1)


def _least(column: Column) -> int:
    cells = (column.head, *column.cells)
    if not column.words:
        return max(map(cell_len, cells))
    longest = max(cell_len(word) for cell in cells for word in cell.split() or ("",))
    return min(longest, LEAST_WORDS)


def print_steps(console: Console, heading: str, steps: Iterable[tuple[str, Sequence[str]]]) -> None:
    """The arithmetic behind a part: each name with its lines below it."""
    print_heading(console, heading)
    for name, lines in steps:
        print_text(console, name)
        for line in lines:
            _print(console, Padding(shown(line, "dim"), (0, 0, 0, 4)))


def print_rows(console: Console, rows: Iterable[Sequence[Text]], *, figures: bool = False) -> None:
    """Rows without a heading, the last cell folded; with `figures` the cell before it is one."""
    held = [tuple(row) for row in rows]
    grid = Table.grid(padding=(0, 2))
    for place in range(len(held[0]) if held else 0):
        last = place == len(held[0]) - 1
        right = figures and place == len(held[0]) - 2
        grid.add_column(overflow="fold", no_wrap=not last, justify="right" if right else "left")
    for row in held:
        grid.add_row(*row)
    _print(console, grid)


def _print(console: Console, what: RenderableType, *, width: int | None = None) -> None:
    """Print without the blanks that fill up the last column."""
    place = console.width
    console.width = width or place  # what is printed gets no wider than its console
    with console.capture() as capture:
        console.print(what)
    console.width = place
    for line in capture.get().splitlines():
        console.file.write(f"{line.rstrip()}\n")
    console.file.flush()
