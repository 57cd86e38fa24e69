"""Figures as a document writes them."""

from __future__ import annotations

import re

import pytest

from service.documents.tree import Table
from service.documents.words import words_of
from service.operations.paper.written import localized
from tests.given.papers import paper_of


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("12.25 m", "12,25 m"),
        ("-1318.5 mm", "-1.318,5 mm"),
        ("1318 mm", "1.318 mm"),
        ("3 1/8 in", "3 1/8 in"),
        ("1/8 in", "1/8 in"),
    ],
)
def test_localized_writes_the_figure_of_the_language(text: str, written: str) -> None:
    """Spanish metric figures have a comma for decimals and a point between thousands."""
    assert localized(text, words_of("es", "metric")) == written


def test_localized_keeps_feet_and_inches() -> None:
    """A tape in feet and inches is read alike in both languages."""
    assert localized("-1 ft 2 in", words_of("es", "us")) == "-1 ft 2 in"


def test_crew_sheet_has_one_decimal_sign() -> None:
    """No cell of a Spanish metric crew sheet has a decimal point: beside `1.318 mm` a level of
    `12.25 m` would be read as twelve hundred."""
    document = paper_of("crew_sheet", "curved_terrace", "es")
    cells = [
        cell
        for block in document.blocks
        if isinstance(block, Table)
        for row in block.rows
        for cell in row.cells
    ]
    assert any("," in cell for cell in cells)
    assert [cell for cell in cells if re.search(r"[0-9]\.[0-9]{1,2}(?![0-9])", cell)] == []
