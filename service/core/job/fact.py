"""What an answer goes by beside its numbers: facts that cautions hang on, and assumptions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.core.job.jurisdiction import Trigger


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A value in SI, and the figure in words (empty where there is nothing to add)."""

    value: float
    words: str = ""


Facts = Mapping[Trigger, Fact]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A default that the answer rests on."""

    field: str
    value: str
    why: str
