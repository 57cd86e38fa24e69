"""Cautions as they stand in a quote."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from service.core.job.jurisdiction import Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution; `walls` names the walls it is about, none where it is about the whole job."""

    code: str
    severity: Severity
    text: str
    source: str
    walls: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Cautions:
    """What a place says of a job: what applies to this one, and the words for every job.

    `held` are the codes of all rules that hold, those that another one speaks for last: sums of
    the terms and the customer's list hang on them; `held_at` says of each the walls on which it
    holds (None: the whole job). `design_asked` are the codes of those by
    which the place asks for an engineer's design.
    """

    given: tuple[Caution, ...] = ()
    always: tuple[Caution, ...] = ()
    held: tuple[str, ...] = ()
    held_at: Mapping[str, tuple[str | None, ...]] = field(
        default_factory=lambda: MappingProxyType({})
    )
    design_asked: tuple[str, ...] = ()
