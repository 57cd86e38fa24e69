"""Every code that the source can make has a page, in the file of a room that makes it.

Codes are words joined by hyphens, and few other texts in the source are. So all such texts are
looked at, however a fault is built: what is no code stands in the list below.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

import pytest

import service
from service.api import faults
from service.api.faults import KINDS, ROOMS, ProblemKind, by_code
from service.api.v1.catalog.entries import RESOURCES
from service.cli.openapi import document_path

SOURCE = Path(service.__file__).parent
PAGES = Path(faults.__file__).parent
# A room with many codes has several pages of them.
PART = re.compile("_(?:rates|websites?)$")
HYPHENATED = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)+")
# Texts with hyphens that are no codes.
OTHER_TEXTS = frozenset(
    (
        # Headers, and what stands in them.
        "accept-encoding",
        "proxy-not-trusted",
        "accept-language",
        "webhook-switched-off",
        "webhook-id",
        "webhook-signature",
        "webhook-timestamp",
        "content-encoding",
        "content-length",
        "content-type",
        "idempotency-key",
        "if-match",
        "if-none-match",
        "no-store",
        "retry-after",
        "same-origin",
        "respond-async",
        "transfer-encoding",
        # Encodings.
        "latin-1",
        "ua-1",
        "utf-8",
        "utf-16",
        "utf-16-be",
        "utf-16-le",
        "windows-1252",
        # Types of pydantic's schemas, and keys of ours.
        "definition-ref",
        "function-after",
        "function-before",
        "function-wrap",
        "json-or-python",
        "lax-or-strict",
        "model-fields",
        "tagged-union",
        "x-field-type",
        "date-time",
        "x-units",
        "x-words",
        # Parts of addresses and names.
        "production-rates",
        "screening-bases",
        "site-work",
        "wall-quote-service",
        "wall-system",
        "wall-systems",
        # What came of a message that was sent.
        "answer-malformed",
        "event-gone",
        "secret-unreadable",
        "timed-out",
        # What a browser fills in by itself (HTML, autofill).
        "postal-code",
        # Words, examples, and what the reader of a workbook says to its parent.
        "job-0042",
        "no-sheet",
        "permit-height",
        "downspouts-above",
        "seen-spring",
        "check-jobs",
        "command-line",
        "machine-hours",
        "pick-up",
        "re-pricing",
        "re-pricings",
        "metric-ton",
        "supplier-new",
        "too-large",
        "too-much-text",
    )
)
# Codes of one word, which a text of the source can't be told by.
ONE_WORD = frozenset({"busy"})
# Texts that are put together and begin like a code: one code for each kind of entry that has an
# address, and the names of walls and areas.
PUT_TOGETHER = {
    "unknown-": "api/v1/catalog/entries.py",
    "wall-": "operations/quoting/quote_request.py",
    "area-": "operations/quoting/grading_request.py",
}
# Modules that stand outside of a room, and whose file explains their codes.
ROOM_OF = {
    "operations/ruled.py": "fields",
    "json_text.py": "json_text",
    "core/quote_state.py": "saved",
    "core/engineering.py": "quoting",
}


@cache
def _nodes(path: Path) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


def _texts(paths: Iterable[Path]) -> Iterator[tuple[str, Path]]:
    """Every text of the source that could be a code, and its file."""
    for path in paths:
        for node in _nodes(path):
            value = node.value if isinstance(node, ast.Constant) else None
            if isinstance(value, str) and (HYPHENATED.fullmatch(value) or value in ONE_WORD):
                yield value, path


def _sources() -> list[Path]:
    return [path for path in sorted(SOURCE.rglob("*.py")) if PAGES not in path.parents]


def without_page(paths: Iterable[Path]) -> list[str]:
    """Codes that nobody explains, each with its file."""
    known = KINDS.keys() | OTHER_TEXTS
    return sorted({f"{code} ({path.name})" for code, path in _texts(paths) if code not in known})


def _room(path: Path) -> str:
    """The room a file stands in: that of its faults."""
    place = path.relative_to(SOURCE)
    if place.as_posix() in ROOM_OF:
        return ROOM_OF[place.as_posix()]
    parts = place.parts
    if parts[0] == "faults":
        return "fields"
    if parts[0] == "server":
        return "api"
    if parts[0] in {"core", "operations"} or parts[:2] == ("catalog", "documents"):
        return parts[1]
    return parts[0]


def test_every_code_has_a_page() -> None:
    """A text that could be a code is explained, or known to be none."""
    assert without_page(_sources()) == []
    assert KINDS["last-station-off"].status == 422
    assert {text for text, _ in _texts(_sources())} >= OTHER_TEXTS


@pytest.mark.parametrize(
    "source",
    [
        'fault = Fault(code="made-up", at=(), message="x")',
        'def fault(at, code): return Fault(code=code, at=at)\nfault(1, "made-up")',
        'def steps(): yield 3, "made-up", "why"\nall(fault(*step) for step in steps())',
        'CODES = {"a": ("made-up", "words")}',
        'class OddError(QuoteRefusedError):\n    code = "made-up"',
        'replace(fault, code="wrong-type" if short else "made-up")',
    ],
)
def test_a_code_without_a_page_is_noticed(tmp_path: Path, source: str) -> None:
    """However a fault is built, by a helper, from a table, as a class, its code is found."""
    path = tmp_path / "made.py"
    path.write_text(source, encoding="utf-8")
    assert without_page([path]) == ["made-up (made.py)"]


def test_codes_are_put_together_only_where_the_list_says() -> None:
    """A code made of parts would not be found, so there is one place that does it, and each of
    its codes has a page."""
    made = {
        (part.value, path.relative_to(SOURCE).as_posix())
        for path in _sources()
        for node in _nodes(path)
        if isinstance(node, ast.JoinedStr)
        for part in node.values[:1]
        if isinstance(part, ast.Constant) and re.fullmatch(r"(?:[a-z]+-)+", str(part.value))
    }
    assert made == set(PUT_TOGETHER.items())
    assert [resource.unknown for resource in RESOURCES if resource.unknown not in KINDS] == []


def test_every_page_is_of_a_code_that_is_made() -> None:
    """A page whose code nothing makes any more is taken away."""
    made = {code for code, _ in _texts(_sources())} | {each.unknown for each in RESOURCES}
    assert sorted(KINDS.keys() - made) == []


@pytest.mark.no_cover  # others run the same lines
def test_pages_stand_in_the_file_of_a_room_that_makes_their_code() -> None:
    """Whoever looks for the text of a code finds it under the room whose source makes it."""
    rooms: dict[str, set[str]] = {each.unknown: {"quoting"} for each in RESOURCES}
    for code, path in _texts(_sources()):
        rooms.setdefault(code, set()).add(_room(path))
    astray = [
        f"{kind.code}: stands in {room.__name__}, made in {', '.join(sorted(rooms[kind.code]))}"
        for room in ROOMS
        for kind in room.KINDS
        if PART.sub("", room.__name__.rpartition(".")[2]) not in rooms[kind.code]
    ]
    assert astray == []


def test_by_code_refuses_two_texts_for_one_code() -> None:
    """A code means one thing, so a second text for it is an error at the start."""
    one, other = ProblemKind("a-b", "A", "A."), ProblemKind("a-b", "B", "B.")
    assert by_code([one])["a-b"] is one
    with pytest.raises(ValueError, match="a-b"):
        by_code([one, other])


def test_examples_of_problems_have_pages() -> None:
    """Codes of the kept answers are explained."""
    files = (document_path().parent / "examples").glob("*/*.response.json")
    text = "".join(file.read_text(encoding="utf-8") for file in files)
    codes = set(re.findall(r'"type": "/problems/([a-z-]+)"', text))
    assert codes
    assert codes <= KINDS.keys()
