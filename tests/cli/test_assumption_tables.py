"""Assumptions on the command line: what each is worth, the dearest first."""

from __future__ import annotations

import io
import re

import pytest

from service.cli.columns import console_for
from service.cli.tables import print_quote
from service.operations.quoting.quote import quote_document
from tests.given.catalogs import shipped_catalog
from tests.given.quote_requests import Json
from tests.given.what_ifs import bare_request

MONEY = re.compile(r"(?:^| )([+-]?[0-9]+\.[0-9]{2})(?= |$)")


@pytest.fixture(autouse=True)
def _wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """Paper of one width, whatever runs the tests."""
    monkeypatch.setenv("COLUMNS", "100")


def printed(request: Json) -> list[str]:
    """The lines from the first part about assumptions on."""
    stream = io.StringIO()
    print_quote(console_for(stream), quote_document(request, shipped_catalog()))
    lines = stream.getvalue().splitlines()
    first = next(i for i, line in enumerate(lines) if re.match("ASSUMED|WHAT EACH", line))
    return lines[first:]


def steep(**more: object) -> Json:
    """A request one of whose other values can't be quoted: ground that never meets the bank."""
    request = bare_request(**more)
    request["walls"][0]["existing_slope"] = "4:1"
    return request


def test_print_assumptions_begins_with_the_dearest() -> None:
    """Other values stand in the order of what they change, up or down; the one that can't be
    quoted is told after them, in words."""
    lines = printed(steep(what_if=True))
    end = lines.index("ASSUMED")
    assert lines[0] == "WHAT EACH ASSUMPTION IS WORTH, USD"
    told = [found[1] for line in lines[:end] if (found := MONEY.search(line))]
    sizes = [abs(float(money)) for money in told]
    assert len(sizes) == 12
    assert sizes == sorted(sizes, reverse=True)
    assert told[0].startswith("+")
    assert told[-1] == "0.00"
    assert lines[3].startswith("wall 1, profile, back ")
    last = " ".join(lines[:end]).partition("wall 1, back slope, rising 4:1: not quoted: ")[2]
    assert "does not meet existing ground" in last
    assert not MONEY.search(last)


def test_print_assumptions_says_no_worth_unless_asked() -> None:
    """Without `what_if` the paragraph stands alone."""
    assert printed(steep())[0] == "ASSUMED"
