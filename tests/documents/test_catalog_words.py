"""Every text of the shipped catalog that is printed has its Spanish, and none is left over."""

from __future__ import annotations

import io
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

from service.documents.words import Words, words_of
from tests.given.papers import EXAMPLES, KINDS, books_of, paper_of, shipped

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(__file__).resolve().parents[2]
FIGURE = re.compile(r"\{[^{}]*\}|[0-9]+(?:\.[0-9]+)?")
# What papers print of each folder of the catalog.
PRINTED = {
    "companies": ("due", "where", "per", "terms", "warranty", "excluded"),
    "jurisdictions": ("text",),
    "loads": ("title",),
    "materials": ("title",),
    "production_rates": ("title",),
    "site_work": ("title",),
    "soils": ("title",),
    "terms": ("description",),
    "wall_systems": ("title",),
}
# Files whose own title isn't printed; tables in any file that aren't.
WITHIN = frozenset({"companies", "jurisdictions", "production_rates"})
SILENT = frozenset({"source", "conditions"})
PARTS = ("standard unit", "corner unit", "cap")
# Examples that are refused.
REFUSED = frozenset({"price_missing", "ten_mistakes"})


def message(text: str) -> str:
    """A text with its figures numbered, as a translator sees it."""
    count = iter(range(99))
    return FIGURE.sub(lambda _: f"{{{next(count)}}}", text)


def texts_in(value: object, keys: tuple[str, ...], key: str = "") -> Iterator[str]:
    """The texts below a value that stand under some keys."""
    if isinstance(value, dict):
        for name in sorted(set(value) - SILENT):
            yield from texts_in(value[name], keys, name)
    elif isinstance(value, list):
        for entry in value:
            yield from texts_in(entry, keys, key)
    elif isinstance(value, str) and key in keys:
        yield value


@cache
def shipped_texts() -> frozenset[str]:
    """The messages of the shipped catalog."""
    found: set[str] = set()
    for folder, keys in PRINTED.items():
        for file in (ROOT / "catalog" / folder).glob("*.toml"):
            document = tomllib.loads(file.read_text(encoding="utf-8"))
            if folder in WITHIN:
                del document["title"]
            found.update(map(message, texts_in(document, keys)))
    return frozenset(found)


@cache
def translated() -> dict[str, str]:
    """The translations, by message."""
    file = ROOT / "service" / "documents" / "locale" / "es" / "catalog.po"
    read = read_po(io.BytesIO(file.read_bytes()), locale="es")
    return {str(entry.id): str(entry.string) for entry in read if entry.id}


@pytest.fixture(scope="module")
def said() -> frozenset[str]:
    """The messages on the papers of every example request."""
    found: set[str] = set()
    original = Words.say_data

    def listen(words: Words, text: str) -> str:
        found.add(text)
        return original(words, text)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Words, "say_data", listen)
        for example in examples():
            for kind in KINDS:
                paper_of(kind, example, "es")
            books_of(example, "es")
    return frozenset(found)


def examples() -> list[str]:
    """The example requests that are answered."""
    names = {file.name.split(".")[0] for file in EXAMPLES.glob("*.request.json")}
    return sorted(names - REFUSED)


def test_catalog_words_are_all_translated() -> None:
    """Each text of the shipped catalog that a paper prints has a translation."""
    assert sorted(shipped_texts() - set(translated())) == []
    assert [text for text, spanish in translated().items() if not spanish] == []


def test_catalog_words_cover_the_papers(said: frozenset[str]) -> None:
    """What the papers of the examples print is translated, but for what a request says itself."""
    requests = "".join(file.read_text(encoding="utf-8") for file in EXAMPLES.glob("*.request.json"))
    own = {text for text in said if text and f'"{text}"' in requests}
    assert {message(text) for text in said - own} - set(translated()) <= {""}


def test_catalog_words_are_all_used(said: frozenset[str]) -> None:
    """Each translation is of a text that the catalog has, or that papers print."""
    systems = (entry.core.title for entry in shipped().wall_systems.values())
    parts = {message(f"{title}: {part}") for title in systems for part in PARTS}
    used = shipped_texts() | {message(text) for text in said} | parts
    assert sorted(set(translated()) - used) == []


def test_say_data_keeps_the_figures_of_the_text() -> None:
    """A title is told in Spanish with its own figures; what nobody translated stands as it is."""
    words = words_of("es")
    assert words.say_data("Drain pipe, 6 in, perforated, with sock") == (
        "Tubo de drenaje, 6 in, perforado, con funda"
    )
    assert words.say_data("Somebody's own pipe 6 in") == "Somebody's own pipe 6 in"
