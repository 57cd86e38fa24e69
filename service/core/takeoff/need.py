"""What a quote needs of an item, and the two ways to charge it: as it is bought, or from stock."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.section import Group
from service.core.measure import Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What a quote needs of one item over all walls: `net` in SI or pieces, before waste; `cuts`
    are pieces to be cut from rolls, (length in m, how many), longest first."""

    item: str
    group: Group
    net: float
    dimension: Dimension
    waste: Decimal
    piece_kg: float | None = None
    per_pallet: int | None = None
    cuts: tuple[tuple[float, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is ordered of one item, or charged of it from stock; the names are those of
    QuantityLine."""

    order: Decimal
    order_unit: str
    sold_per: str
    how: tuple[str, ...]
    packs: tuple[int, str] | None = None
    weight_kg: float | None = None
    pack_content: Decimal | None = None
    pack_unit: str | None = None
    pack_word: str | None = None
    increment_assumed: bool = False
    stock: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """An item as its supplier sells it, and as it is charged where a price list says that it is
    kept in stock."""

    bought: Order
    charged: Order


def unreachable(need: Need, sold: str) -> QuoteFaultsError:
    """An item that is sold in a unit that its net amount can't be turned into."""
    return QuoteFaultsError(
        [
            Fault(
                code="sold-unit-unreachable",
                at=("section",),
                message=f"{need.item} is counted by {need.dimension} but sold by {sold}, "
                "and its material file doesn't say how to get there",
                hint=f"a weight, or a unit of {need.dimension}, in the file of {need.item}",
            )
        ]
    )
