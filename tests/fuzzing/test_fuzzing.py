"""What strangers send is read or refused in known words, quickly; `python -m tests.fuzzing
--seconds 600` looks for longer."""

import sys
import time
from decimal import Decimal

import pytest

from service.json_text import loads
from tests.fuzzing.book import BOOKS
from tests.fuzzing.search import Target, search
from tests.fuzzing.targets import TARGETS

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

SECONDS = 1.5
SEED = 20260504
# Inputs that are tried at least, however busy the machine is: each workbook is read in a process
# of its own.
FEWEST = {"workbook": len(BOOKS) + 10}


@pytest.mark.parametrize("name", TARGETS)
def test_reader_refuses_in_known_words_or_gives_what_comes_back(name: str) -> None:
    """Whatever bytes come, there is no other error, no value that changes when it is written and
    read again, and no more than 50 ms for 1,000 of them."""
    found = search(TARGETS[name], SECONDS, SEED, fewest=FEWEST.get(name, 100))
    print(name, found.tried, len(found.lines), len(found.kept), SEED)  # noqa: T201
    assert found.breaks == []
    assert len(found.kept) > 1


def test_search_finds_a_reader_that_breaks() -> None:
    """The control: an error that is deep in a document, and slowness, are found."""

    def breaks(data: bytes) -> None:
        try:
            document = loads(data)
        except ValueError:
            return
        if isinstance(document, list) and len(document) > 1:
            Decimal(str(document[1]))

    def slow(data: bytes) -> None:
        end = time.process_time() + 0.06 * (len(data) > 40)
        while time.process_time() < end:
            pass

    for read, seconds in ((breaks, 10), (slow, 10)):
        target = Target(read=read, seeds=(b"[1, 2]",), words=(b'"a"', b"1", b"[", b" "))
        assert search(target, seconds, SEED).breaks


def test_search_ends_with_the_inputs_that_are_wanted() -> None:
    """So many inputs and no more, however much time is left."""
    assert search(TARGETS["if-match"], 60, SEED, most=2_500).tried == 2_500


def test_search_tries_the_fewest_that_are_wanted() -> None:
    """So many inputs, though no time is left for them; then no more."""
    assert search(TARGETS["if-match"], 0, SEED, fewest=150).tried == 150


def test_search_traces_the_first_and_then_one_of_eight() -> None:
    """Lines are looked for in each of the first 2,000 inputs, and in 100 of the 800 after them."""
    traced: list[bool] = []

    def read(_data: bytes) -> None:
        traced.append(sys.gettrace() is not before)

    before = sys.gettrace()
    search(Target(read=read, seeds=(b"",), words=(b"a",)), 60, SEED, most=2_800)
    # Every eighth is read once more, for what it takes.
    assert len(traced) == 2_800 + 350
    assert sum(traced) == 2_000 + 100
