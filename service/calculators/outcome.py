"""What comes back from a process that calculates: always data, whatever happened there."""

from __future__ import annotations

import traceback
from dataclasses import dataclass

from service.core.errors import Fault

FRAMES = 4


@dataclass(frozen=True, slots=True)
class Done:
    """What the function came to, packed."""

    packed: bytes


@dataclass(frozen=True, slots=True)
class Found:
    """The faults it found: `QuoteFaultsError`."""

    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class Failed:
    """What nobody expected: the kind of error and the place, never its text, which may quote what
    a caller sent."""

    kind: str
    where: str


@dataclass(frozen=True, slots=True)
class CatalogWanted:
    """The process does not have the catalog that was named."""


Outcome = Done | Found | Failed | CatalogWanted


def place_of(error: BaseException) -> str:
    """Where an error came from: the last frames, innermost last."""
    frames = traceback.extract_tb(error.__traceback__)[-FRAMES:]
    return " > ".join(f"{frame.name}:{frame.lineno}" for frame in frames)
