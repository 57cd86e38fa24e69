"""A factor on hours, and what decides which one holds where a request states no choice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.core.fraction import Fraction
from service.core.job.site import Seen


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """What the hours are multiplied by, and why."""

    factor: Fraction
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ByAccess:
    """The way to the wall: `machine` where one of `machines` (ids) passes. Else `wheeled`, but
    `carried` over stairs and through a passage narrower than `wheeled_m`."""

    machines: tuple[str, ...]
    machine: str
    wheeled: str
    carried: str
    wheeled_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightBand:
    """Courses whose underside lies up to so high over front grade; None: any higher one."""

    up_to_m: float | None
    choice: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ByHeight:
    """Course by course: the first band, from low to high, whose limit it doesn't pass. The last
    one has none."""

    bands: tuple[HeightBand, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ByPlan:
    """The plan of all walls: `curved` from `curved_share` of the length in curves, `cornered` from
    one corner for each `corner_each_m`; of both the one with the larger factor."""

    curved: str
    curved_share: Decimal
    cornered: str
    corner_each_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BySoil:
    """How the soil that is cut digs: its word is the choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BySeen:
    """What was seen of water and on the site, by the choice that it calls for; of several the one
    with the largest factor."""

    signs: Mapping[str, tuple[Seen, ...]]


Derivation = ByAccess | ByHeight | ByPlan | BySeen | BySoil
