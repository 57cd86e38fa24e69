"""What machines and crews count as where machines are chosen for a job; prices stay elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineCost:
    """What a machine counts as: each of its hours, each day that it is there, and each time that
    it is brought and taken away again."""

    hour: Decimal = Decimal(0)
    day: Decimal = Decimal(0)
    delivery: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChooseBy:
    """Costs by which the machines of a job are chosen, and by nothing else: of every machine of
    the rates, and of a day of every crew."""

    machines: Mapping[str, MachineCost]
    crew_days: Mapping[str, Decimal]
