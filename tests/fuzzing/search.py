"""A search for inputs that break a reader: those which reach new lines are kept and changed on."""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, field
from pathlib import Path
from types import CodeType, FrameType
from typing import Any, Final

SERVICE: Final = str(Path(__file__).resolve().parents[2] / "service")
LONGEST: Final = 1000
# What a reader may take of a processor for 1,000 bytes.
MOST_CPU_S: Final = 0.05
# The first inputs are traced, each of them; later, when new lines are rare, one of so many is.
FIRST: Final = 2_000
ONE_OF: Final = 8
Line = tuple[CodeType, int]
Reader = Callable[[bytes], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What is fed: `read` takes any bytes and raises nothing. `seeds` are good inputs, `words` what
    is worth putting in."""

    read: Reader
    seeds: Sequence[bytes]
    words: Sequence[bytes]


@dataclass(slots=True)
class Found:
    """What a search came to: inputs tried, lines reached, and inputs that break the rule."""

    tried: int = 0
    lines: set[Line] = field(default_factory=set)
    kept: list[bytes] = field(default_factory=list)
    breaks: list[tuple[bytes, str]] = field(default_factory=list)


def search(
    target: Target, seconds: float, seed: int, *, fewest: int = 0, most: int = sys.maxsize
) -> Found:
    """Feed changed inputs for so long, so many at least and at most; stops at the tenth input that
    breaks the rule."""
    chance = random.Random(seed)  # noqa: S311  repeatable, no secret
    found, end = Found(), time.monotonic() + seconds
    for each in target.seeds:
        _try(target, each, found)
    while found.tried < most and len(found.breaks) < 10:
        if found.tried >= fewest and time.monotonic() >= end:
            break
        base = chance.choice((*target.seeds, *found.kept))
        _try(target, changed(base, found.kept, target.words, chance), found)
    return found


def _try(target: Target, data: bytes, found: Found) -> None:
    reached: set[Line] = set()
    found.tried += 1
    looks = found.tried <= FIRST or found.tried % ONE_OF == 0
    try:
        with _traced(reached) if looks else nullcontext():
            target.read(data)
    except Exception as error:  # noqa: BLE001  whatever it is, it is found
        found.breaks.append((data, repr(error)))
        return
    if not reached <= found.lines:
        found.lines |= reached
        found.kept.append(data)
    if found.tried % ONE_OF == 0 and (took := cpu_of(target.read, data)) > MOST_CPU_S:
        found.breaks.append((data, f"{took * 1000:.0f} ms"))


def cpu_of(read: Reader, data: bytes) -> float:
    """What an input takes of a processor, the best of three."""
    best = float("inf")
    for _ in range(3):
        begun = time.process_time()
        read(data)
        best = min(best, time.process_time() - begun)
        if best < MOST_CPU_S:
            break
    return best


@contextmanager
def _traced(reached: set[Line]) -> Iterator[None]:
    """Note the lines of the service that are run in the block."""

    def line(frame: FrameType, event: str, _argument: Any) -> Any:  # noqa: ANN401
        if event == "line":
            reached.add((frame.f_code, frame.f_lineno))
        return line

    def call(frame: FrameType, _event: str, _argument: Any) -> Any:  # noqa: ANN401
        return line if frame.f_code.co_filename.startswith(SERVICE) else None

    before = sys.gettrace()
    sys.settrace(call)
    try:
        yield
    finally:
        sys.settrace(before)


def changed(
    data: bytes, kept: Sequence[bytes], words: Sequence[bytes], chance: random.Random
) -> bytes:
    """An input with one to four changes."""
    made = bytearray(data)
    for _ in range(chance.randint(1, 4)):
        begin = chance.randint(0, len(made))
        end = min(len(made), begin + chance.choice((0, 0, 1, 1, 2, 8, 64)))
        made[begin:end] = _piece(bytes(made), kept, words, chance)
    return bytes(made[:LONGEST])


def _piece(
    data: bytes, kept: Sequence[bytes], words: Sequence[bytes], chance: random.Random
) -> bytes:
    match chance.randrange(5):
        case 0:
            return b""
        case 1:
            return chance.choice(words)
        case 2:
            return chance.choice(words) * chance.choice((2, 20, 400))
        case 3:
            other = chance.choice(kept) if kept else data
            begin = chance.randint(0, len(other))
            return other[begin : begin + chance.choice((1, 4, 32))]
        case _:
            return bytes([chance.randrange(256)])
