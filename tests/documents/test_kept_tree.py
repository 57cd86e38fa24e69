"""Documents as they are kept: every part comes back as it was printed."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from service.documents.forms.html import html_page
from service.documents.kept_tree import tree_data, tree_of
from service.documents.printed import printed
from tests.given.papers import KINDS, paper_of
from tests.given.sample_papers import HOSTILE, document_of


@pytest.mark.parametrize("kind", KINDS)
def test_tree_of_gives_each_document_back(kind: str) -> None:
    """What was kept as JSON is the document again, and its page the same page."""
    paper = paper_of(kind)
    again = tree_of(json.loads(json.dumps(tree_data(paper))))
    assert again == printed(paper)
    assert html_page(again).text == html_page(paper).text


@pytest.mark.parametrize("text", HOSTILE)
def test_tree_of_bears_any_text(text: str) -> None:
    """Each block with any text in each place comes back: halves of letters are boxes by then."""
    paper = document_of(text)
    kept = json.dumps(tree_data(paper)).encode()
    assert tree_of(json.loads(kept)) == printed(paper)


def test_tree_of_refuses_an_unknown_block() -> None:
    """A block of no kind is told, not left out."""
    data = tree_data(replace(document_of("x"), letterhead=None))
    data["blocks"][0]["kind"] = "Poster"
    with pytest.raises(KeyError, match="Poster"):
        tree_of(data)
