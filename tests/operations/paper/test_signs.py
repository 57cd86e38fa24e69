"""Units on paper are written as people write them, wherever they stand."""

from __future__ import annotations

import re

import pytest

from service.documents.forms.html import html_page
from service.documents.tree import Language
from tests.given.papers import books_of, paper_of, subject_of

PLAIN = re.compile(r"\b(?:in|ft|yd|m)[23]\b")
KINDS = ("customer_quote", "crew_sheet", "supplier_order", "job_cost_sheet")


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("kind", KINDS)
def test_papers_write_units_as_people_do(kind: str, language: Language) -> None:
    """Descriptions, arithmetic, cautions and agreed rates have signs; the answer has names."""
    subject = subject_of("driveway_into_bank")
    assert "450 ft2" in str([line.description for line in subject.answer.quantities])
    text = html_page(paper_of(kind, "driveway_into_bank", language)).text
    assert PLAIN.findall(text) == []
    assert "450 ft²" in text


def test_workbook_of_the_office_writes_units_as_people_do() -> None:
    """Units stand in columns of their own there, and within descriptions and arithmetic."""
    book = books_of("driveway_into_bank")[0]
    text = str([cell.value for sheet in book.sheets for row in sheet.rows for cell in row])
    assert PLAIN.findall(text) == []
    assert "'yd³'" in text
