"""Every fault code is named by a test: callers' programs switch on codes, so none is renamed
unnoticed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from service.api.faults import KINDS

TESTS = Path(__file__).resolve().parents[1]
# Files that list codes or texts like them, and provoke no fault.
LISTS = frozenset({"test_fault_codes.py", "test_fault_pages.py"})
# Codes that no test names, each with the reason.
ARGUED: dict[str, str] = {}
QUOTED = re.compile(r"[\"'`]([a-z0-9]+(?:-[a-z0-9]+)*)[\"'`]")


def named_in(texts: Iterable[str]) -> set[str]:
    """What stands in quotes and could be a code."""
    return {word for text in texts for word in QUOTED.findall(text)}


def texts_of_tests() -> Iterator[str]:
    """The text of each file of tests and of each of their tables."""
    for path in sorted(TESTS.rglob("*")):
        if path.suffix in {".py", ".toml"} and path.name not in LISTS:
            yield path.read_text(encoding="utf-8")


def test_every_code_is_named_by_a_test() -> None:
    """A code that is renamed, or that is new, has a test that says so. What is argued is true:
    nobody names it."""
    named = named_in(texts_of_tests())
    assert sorted(KINDS.keys() - named - ARGUED.keys()) == []
    assert sorted(ARGUED.keys() - KINDS.keys()) == []
    assert sorted(ARGUED.keys() & named) == []


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ('assert fault.code == "plan-empty"', True),
        ("code = 'plan-empty'", True),
        ('"""One stretch: `plan-empty`."""', True),
        ('"/problems/plan-empty"', False),
        ('"no-plan-empty"', False),
        ("# plan-empty", False),
    ],
)
def test_a_code_is_named_in_quotes_of_its_own(text: str, *, named: bool) -> None:
    """A part of a longer text or of another code names nothing."""
    assert ("plan-empty" in named_in([text])) is named
