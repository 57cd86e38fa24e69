"""A fact that a caution hangs on."""

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
