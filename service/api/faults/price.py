"""Prices, margins and currencies."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "price-missing",
        "An item has no price",
        "The quantities need an item that the prices don't hold. Add it to the price list, or "
        "give its cost in prices.",
    ),
    ProblemKind(
        "price-unit-mismatch",
        "A price is in a unit the item is not sold in",
        "A price is per the item's sold unit or one of the same dimension, which is converted.",
    ),
    ProblemKind(
        "nothing-to-price",
        "There is nothing to price",
        "The request has no quantity and no extra.",
    ),
    ProblemKind(
        "currency-mismatch",
        "Two currencies meet",
        "Prices, wages and terms of one quote are in one currency, and so are a price list and a "
        "supplier's file.",
    ),
    ProblemKind(
        "too-many-places",
        "An amount has more places than its currency",
        "Amounts carry at most the places of the currency's minor unit; unit costs up to six.",
    ),
    ProblemKind(
        "margin-not-below-one",
        "A margin is not below 1",
        "A margin is a share of the price, so it is below 1. A share of the cost is a markup.",
    ),
    ProblemKind(
        "crew-wage-ambiguous",
        "A crew's hour has two costs",
        "A crew's hour is priced by an item of the price list or by a wage, the same everywhere.",
    ),
    ProblemKind(
        "adjusts-nothing",
        "An adjustment fits no item",
        "No item of the latest revision has this supplier and this group. Write them as they "
        "stand in the price list.",
    ),
    ProblemKind(
        "unknown-item",
        "An item is not known",
        "The item does not stand in the latest revision of the price list. The hint names the "
        "nearest one that does.",
    ),
)
