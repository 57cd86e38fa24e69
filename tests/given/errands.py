"""What tests let processes do that calculate."""

from __future__ import annotations

import os
import time
from pathlib import Path
from types import MappingProxyType

from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError
from tests.given import processes

TOLD = (
    Fault(code="first", at=("walls", 0, "top"), message="too high", hint="3 ft"),
    Fault(code="second", at=(), message="too long"),
)

KEPT: list[bytearray] = []


def process_id(_catalog: Catalog, _argument: None) -> int:
    """The process."""
    return os.getpid()


def version_of(catalog: Catalog, word: str) -> tuple[str, str]:
    """The catalog's version, and what was given."""
    return catalog.version, word


def read_only(_catalog: Catalog, value: int) -> MappingProxyType[str, int]:
    """A mapping that nobody writes to."""
    return MappingProxyType({"value": value})


def unsendable(_catalog: Catalog, _argument: None) -> object:
    """What stays where it is."""
    return lambda: None


def niceness(_catalog: Catalog, _argument: None) -> int:
    """How far the process stands back."""
    return os.nice(0)


def freed_mib(_catalog: Catalog, blocks: int) -> float:
    """How much more memory the process has once it freed so many blocks of 256 KiB, above which
    something small lies that it keeps. One that is larger was freed before."""
    larger = bytearray(30 * 1024 * 1024)
    del larger
    before = processes.resident_mib()
    held = [bytearray(256 * 1024) for _ in range(blocks)]
    KEPT.append(bytearray(1024))
    held.clear()
    return processes.resident_mib() - before


def wait(_catalog: Catalog, seconds: float) -> int:
    """Take so long; the process."""
    time.sleep(seconds)
    return os.getpid()


def wait_once(_catalog: Catalog, mark: Path) -> int:
    """Say in a file who does it and never end; done again, end at once. The process."""
    if mark.exists():
        return os.getpid()
    mark.write_text(str(os.getpid()), encoding="ascii")
    time.sleep(600)
    raise AssertionError("nobody ended it")


def wait_always(_catalog: Catalog, mark: Path) -> None:
    """Say in a file who does it, each time, and never end."""
    with mark.open("a", encoding="ascii") as lines:
        lines.write(f"{os.getpid()}\n")
    time.sleep(600)


def find_faults(_catalog: Catalog, _argument: None) -> None:
    """Find two faults."""
    raise QuoteFaultsError(TOLD)


def fail(_catalog: Catalog, secret: str) -> None:
    """Fail with a text that quotes the caller."""
    raise ZeroDivisionError(secret)
