"""Documents and drawings look as they did when somebody looked at them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PIL import Image

from service.documents.tree import Document, Figure, Table
from service.operations.paper.figures import figures_of
from tests.documents.approve import MADE, approved_file
from tests.given.papers import sender_of
from tests.given.pictured import (
    NAMES,
    documents_of,
    drawing_picture,
    kept,
    page_picture,
    picture_of,
    pictured_subject,
    unlike,
)

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

# Of 255. What is kept has 16 shades, 17 apart: that alone may come to 8.5.
ALIKE = 9.0


@pytest.mark.parametrize("what", MADE)
@pytest.mark.parametrize("name", NAMES)
def test_pictures_look_as_approved(name: str, what: str) -> None:
    """Nowhere does a picture differ from the approved one by more than shades."""
    made = MADE[what](name)
    approved = picture_of(approved_file(name, what).read_bytes())
    apart = unlike(made, approved)
    assert apart <= ALIKE, f"look at it, then: python -m tests.documents.approve '{name}'"


def test_approved_pictures_are_few_and_small() -> None:
    """Each approved picture belongs to a wall, and none is larger than 16 kB."""
    wanted = {approved_file(name, what) for name in NAMES for what in MADE}
    folder = approved_file("straight", "pages").parent
    assert set(folder.iterdir()) == wanted
    assert max(path.stat().st_size for path in wanted) <= 16_000


def as_kept(picture: Image.Image) -> Image.Image:
    """A picture as it would have been approved."""
    return picture_of(kept(picture))


def figure(kind: str) -> Figure:
    """A drawing of the wall with a falling grade."""
    subject = pictured_subject("falling")
    return figures_of(subject, (kind,), sender_of(subject, "en", "letter").words)[0]  # type: ignore[arg-type]


def moved_line(drawn: Figure) -> Figure:
    """The drawing with its front grade 2 mm lower."""
    strokes = drawn.svg.split("<path ")
    at = next(i for i, stroke in enumerate(strokes) if 'stroke-width="0.55"' in stroke)
    strokes[at] = f'transform="translate(0 2)" {strokes[at]}'
    return replace(drawn, svg="<path ".join(strokes))


def test_unlike_finds_a_line_that_moved() -> None:
    """A line of a drawing 2 mm away from where it was is found."""
    drawn = figure("elevation")
    approved = as_kept(drawing_picture(drawn))
    assert unlike(drawing_picture(drawn), approved) <= ALIKE
    assert unlike(drawing_picture(moved_line(drawn)), approved) > ALIKE


def changed_tables(document: Document, change: Callable[[Table], Table]) -> Document:
    """A document with each of its tables changed."""
    blocks = (change(block) if isinstance(block, Table) else block for block in document.blocks)
    return replace(document, blocks=tuple(blocks))


def without_last(table: Table) -> Table:
    """A table that lost its last column."""
    rows = tuple(replace(row, cells=row.cells[:-1]) for row in table.rows)
    return replace(table, columns=table.columns[:-1], rows=rows)


def with_last_empty(table: Table) -> Table:
    """A table with nothing in its last column."""
    return replace(
        table, rows=tuple(replace(row, cells=(*row.cells[:-1], "")) for row in table.rows)
    )


@pytest.mark.parametrize("change", [without_last, with_last_empty])
def test_unlike_finds_a_column_that_is_lost(change: Callable[[Table], Table]) -> None:
    """A table that lost a column, or what stood in it, is found."""
    subject = pictured_subject("falling")
    _, _, order, *_ = documents_of(subject, sender_of(subject, "en", "letter"))
    approved = as_kept(page_picture(order))
    assert unlike(page_picture(order), approved) <= ALIKE
    assert unlike(page_picture(changed_tables(order, change)), approved) > ALIKE


def test_unlike_takes_other_sizes_for_other_pictures() -> None:
    """A picture of another size is another picture."""
    assert unlike(Image.new("L", (9, 9), 255), Image.new("L", (9, 10), 255)) == float("inf")
