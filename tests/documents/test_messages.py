"""Every message of a document has its Spanish, and none is left over."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po

ROOT = Path(__file__).resolve().parents[2]
LOCALE = ROOT / "service" / "documents" / "locale" / "es"
SOURCES = ("service/documents", "service/operations/paper", "service/operations/callers")
KEYWORDS = {"say": None, "say_count": (1, 2), "msgid": None}
PLACE = re.compile(r"\{[a-z_0-9]+\}")


@cache
def catalog(name: str) -> Catalog:
    """A file of translations."""
    return read_po(io.BytesIO((LOCALE / name).read_bytes()), locale="es")


def forms(text: str | Sequence[str] | None) -> tuple[str, ...]:
    """A message as its singular and plural."""
    return (text,) if isinstance(text, str) else tuple(text or ())


def said() -> Iterator[str]:
    """Each message in the code, singular and plural."""
    for folder in SOURCES:
        found = extract_from_dir(ROOT / folder, [("**.py", "python")], keywords=KEYWORDS)
        for _file, _line, message, _comments, _context in found:
            yield from forms(message)


def test_messages_are_all_translated() -> None:
    """Each message that the code says has a translation that isn't empty."""
    there = {form for entry in catalog("documents.po") if entry.id for form in forms(entry.id)}
    assert sorted(set(said()) - there) == []
    assert [entry.id for entry in catalog("documents.po") if not all(forms(entry.string))] == []


def test_messages_are_all_used() -> None:
    """Each translation is of a message that the code says."""
    used = set(said())
    entries = [entry.id for entry in catalog("documents.po") if entry.id]
    assert [entry for entry in entries if not set(forms(entry)) <= used] == []


@pytest.mark.parametrize("name", ["documents.po", "catalog.po"])
def test_messages_keep_their_figures(name: str) -> None:
    """A translation has the figures of its message, each as often."""
    for entry in catalog(name):
        for english, spanish in zip(forms(entry.id), forms(entry.string), strict=True):
            if entry.id:
                assert sorted(PLACE.findall(english)) == sorted(PLACE.findall(spanish)), english


@pytest.mark.parametrize("name", ["documents.po", "catalog.po"])
def test_messages_are_none_of_a_guess(name: str) -> None:
    """No translation is marked as doubtful, left over, or given twice."""
    text = (LOCALE / name).read_text(encoding="utf-8")
    assert "fuzzy" not in text
    assert "#~" not in text
    assert not [line for line in re.findall("^msgid .+", text, re.MULTILINE) if "\\n" in line]
