"""Documents as web pages: texts stay texts, nothing is fetched, everybody can read them."""

from __future__ import annotations

import base64
import hashlib
import re
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.documents.forms.html import html_page
from service.documents.letters import printable
from tests.given.sample_papers import HOSTILE, blocks_of, document_of

TEXTS = st.text(st.characters(exclude_categories=()), max_size=60)
TAGS = frozenset(
    {
        *("html", "head", "meta", "title", "style", "body", "header", "main", "footer", "div"),
        *("p", "strong", "span", "img", "h1", "h2", "h3", "ul", "ol", "li", "dl", "dt", "dd"),
        *("table", "caption", "thead", "tbody", "tr", "th", "td", "figure", "figcaption"),
    }
)


class Read(HTMLParser):
    """A page as a browser reads it: its tags with their attributes, and its text."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep a tag."""
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        """Keep a text, as a reader sees it."""
        if self.tags[-1:] and self.tags[-1][0] != "style":
            self.text += data


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_html_takes_any_text_as_text(text: str) -> None:
    """A page has the same tags whatever its texts; none of them runs, loads or leads anywhere."""
    read, plain = Read(html_page(document_of(text)).text), Read(html_page(document_of("x")).text)
    kept = {tag for tag, _ in read.tags}
    assert kept <= TAGS
    if printable(text):
        assert [tag for tag, _ in read.tags] == [tag for tag, _ in plain.tags]
    for tag, attributes in read.tags:
        assert not any(name.startswith("on") or name in {"href", "style"} for name in attributes)
        assert tag != "img" or str(attributes["src"]).startswith("data:image/")


@settings(max_examples=100, deadline=None)
@given(text=TEXTS)
def test_html_says_what_the_tree_says(text: str) -> None:
    """Each text of the tree stands in the page, as often as in the tree."""
    shown = printable(text)
    read = Read(html_page(document_of(text)).text)
    if len(shown) > 3:
        assert read.text.count(shown) >= len(blocks_of(text))
    assert {tag for tag, _ in read.tags} <= TAGS


def test_html_policy_allows_the_style_of_the_page_alone() -> None:
    """The policy names the digest of the style in the page (CSP level 3, 2.3.1), and no source but
    data of pictures."""
    page = html_page(document_of("x"))
    style = re.search("<style>(.*?)</style>", page.text, re.DOTALL)
    assert style is not None
    digest = base64.b64encode(hashlib.sha256(style[1].encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in page.policy
    assert page.policy.startswith("default-src 'none'; img-src data:;")
    assert "http" not in page.text.replace("http://www.w3.org/2000/svg", "")


def test_html_is_marked_up_for_who_listens() -> None:
    """Language, one title, headings in order, titles of columns, names of what scrolls, words for
    pictures."""
    read = Read(html_page(document_of("Text", language="es")).text)
    tags = [tag for tag, _ in read.tags]
    assert read.tags[0] == ("html", {"lang": "es"})
    assert tags.count("h1") == 1
    assert all(a.get("scope") for tag, a in read.tags if tag == "th")
    assert all("alt" in a for tag, a in read.tags if tag == "img")
    assert tags.count("caption") == tags.count("table") == 1
    groups = [a for _, a in read.tags if a.get("role") == "group"]
    assert len(groups) == 1
    assert all(a["aria-label"] == "Text" and a["tabindex"] == "0" for a in groups)
