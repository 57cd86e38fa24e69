"""Lines out of bytes: numbers, blank lines, lines that are too long, however the bytes arrive."""

import tracemalloc
from collections.abc import Callable, Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.api.lines import MAX_LINE_BYTES, Line, LineSplitter
from tests.given.work import least_work

pytestmark = pytest.mark.no_cover  # others run the same lines

LIMIT = 5


def split(chunks: Iterable[bytes], limit: int = LIMIT) -> list[tuple[int, bytes | None]]:
    """The lines of a stream that arrives in chunks, each taken as soon as it is there."""
    splitter, found = LineSplitter(limit), []

    def take() -> None:
        while (line := splitter.take()) is not None:
            found.append((line.number, line.data))

    for chunk in chunks:
        splitter.feed(chunk)
        take()
        assert splitter.has_room
    splitter.end()
    take()
    assert splitter.is_done
    return found


def split_whole(data: bytes) -> list[tuple[int, bytes | None]]:
    """The same by another way: the whole text split at once."""
    lines = ((n, text.removesuffix(b"\r")) for n, text in enumerate(data.split(b"\n"), start=1))
    return [
        (n, text if len(text) <= LIMIT else None)
        for n, text in lines
        if len(text) > LIMIT or text.strip(b" \t\r")
    ]


@given(st.lists(st.text("ab \t\r\n", max_size=9).map(str.encode), max_size=12))
def test_take_gives_the_same_lines_however_they_arrive(chunks: list[bytes]) -> None:
    """Neither where an arrival ends nor how many there are changes a line or its number."""
    assert split(chunks) == split_whole(b"".join(chunks))


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (b"", []),
        (b"a", [(1, b"a")]),
        (b"a\n", [(1, b"a")]),
        (b"a\r\nb\r\n", [(1, b"a"), (2, b"b")]),
        (b"\n\n \t\r\na\n\nb", [(4, b"a"), (6, b"b")]),
        (b"12345\n123456\n1", [(1, b"12345"), (2, None), (3, b"1")]),
        (b"12345\r\n123456\r\n", [(1, b"12345"), (2, None)]),
        (b"      \na", [(1, None), (2, b"a")]),
        (b"\x0b\n\xff\xfe\n", [(1, b"\x0b"), (2, b"\xff\xfe")]),
    ],
)
def test_take_counts_every_line_and_passes_over_blank_ones(
    data: bytes, expected: list[tuple[int, bytes | None]]
) -> None:
    """Numbers are those of an editor; blank is what JSON calls white space; the limit is exact."""
    assert split([data]) == expected
    assert split([bytes([byte]) for byte in data]) == expected


def test_take_answers_a_line_that_is_too_long_at_once() -> None:
    """A line that never ends is told before it ends, once."""
    splitter = LineSplitter(LIMIT)
    splitter.feed(b"\n1234567")
    assert splitter.take() == Line(number=2, data=None)
    splitter.feed(b"8" * 100)
    assert splitter.take() is None
    splitter.feed(b"9\na\n")
    assert splitter.take() == Line(number=3, data=b"a")


def test_a_long_line_takes_no_more_memory_than_the_limit() -> None:
    """64 MiB without a line break: what is held stays below the limit and one arrival."""
    arrival = b"x" * 65_536
    splitter = LineSplitter()
    tracemalloc.start()
    try:
        for _ in range(1024):
            splitter.feed(arrival)
            splitter.take()
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 3 * MAX_LINE_BYTES  # a buffer that grows is copied


@pytest.mark.parametrize(
    "chunks",
    [
        lambda n: [b"\n" * n],
        lambda n: [b" "] * (n // 5),
        lambda n: [b"\n" + b" " * n, b"\n"],
        lambda n: [b"1\n"] * (n // 10),
    ],
    ids=["a million line breaks", "drops", "blanks behind a line break", "small lines"],
)
def test_take_needs_time_by_the_byte_alone(chunks: Callable[[int], list[bytes]]) -> None:
    """Nothing that arrives is looked at again and again: ten times as much, which would take a
    hundred times as long, stays well below that."""
    some, more = chunks(100_000), chunks(1_000_000)
    most = 30 * least_work(lambda: split(some, MAX_LINE_BYTES))
    assert least_work(lambda: split(more, MAX_LINE_BYTES)) < most
