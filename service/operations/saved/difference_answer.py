"""What a difference between two answers says. Fields stand as they print; `before` and `after`
are null where a line stands on one side alone."""

from __future__ import annotations

from typing import Literal

from msgspec import UNSET, Struct, UnsetType

from service.operations.answer_figures import Counted, Digest, Hours, Money, Sold
from service.operations.quoting.answer import PriceListRef
from service.operations.quoting.comparison_answer import FaultAnswer

Change = Literal["added", "removed", "changed"]


class Versions(Struct, frozen=True):
    """What an answer was made with, and its digest."""

    engine_version: str
    catalog_version: Digest
    digest: Digest
    currency: str
    price_list: PriceListRef | UnsetType = UNSET


class AmountChange(Struct, frozen=True):
    """One amount of the roll-up that differs; `change` is null between two currencies."""

    amount: str
    before: Money | None
    after: Money | None
    change: Money | None


class GroupChange(Struct, frozen=True):
    """Cost and price of one group of lines, where either differs."""

    group: str
    cost_before: Money
    cost_after: Money
    cost_change: Money | None
    price_before: Money
    price_after: Money
    price_change: Money | None


class LineSide(Struct, frozen=True):
    """A price line as it stands on one side."""

    quantity: Sold
    unit_cost: Money
    per: str
    cost: Money
    price: Money


class LineChange(Struct, frozen=True):
    """A price line that differs."""

    group: str
    item: str
    description: str
    change: Change
    before: LineSide | None
    after: LineSide | None


class QuantitySide(Struct, frozen=True):
    """A quantity as it stands on one side."""

    net: Counted
    order: Sold


class QuantityChange(Struct, frozen=True):
    """A quantity that differs in place or as ordered."""

    group: str
    item: str
    change: Change
    before: QuantitySide | None
    after: QuantitySide | None


class TaskChange(Struct, frozen=True):
    """Expected hours of a task that differ."""

    task: str
    change: Change
    before: Hours | None
    after: Hours | None


class MachinesChange(Struct, frozen=True):
    """Machines of one answer and of the other, where another set was chosen."""

    before: tuple[str, ...]
    after: tuple[str, ...]


class QuoteDifference(Struct, frozen=True):
    """Two answers held against each other. `same` says that they are equal byte for byte;
    `parts` names the top-level keys whose content differs, stamps left out. `machines` is there
    where the job is done with other machines."""

    same: bool
    before: Versions
    after: Versions
    parts: tuple[str, ...]
    amounts: tuple[AmountChange, ...]
    groups: tuple[GroupChange, ...]
    lines: tuple[LineChange, ...]
    quantities: tuple[QuantityChange, ...]
    tasks: tuple[TaskChange, ...]
    machines: MachinesChange | UnsetType = UNSET


class RecomputationAnswer(Struct, frozen=True):
    """A saved revision calculated once more, with the engine and the catalog of today and the
    price-list revision it named. `difference` is null and `faults` says why where that can't be
    done any more, as when the catalog has lost an entry."""

    same: bool
    engine_version: str
    catalog_version: Digest
    difference: QuoteDifference | None
    faults: tuple[FaultAnswer, ...]
