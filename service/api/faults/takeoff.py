"""Items that can't be counted, bought or tipped as asked."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "truck-missing",
        "Loads need a truck",
        "Soil is priced by the load, and the rates name no truck with volume and payload.",
    ),
    ProblemKind(
        "sold-unit-unreachable",
        "An item's quantity can't be turned into the unit it is sold in",
        "The material's file needs a weight or a volume that leads from one unit to the other.",
    ),
    ProblemKind(
        "reinforcement-longer-than-roll",
        "A layer of reinforcement is longer than a roll of it",
        "Sheets are not joined across the wall. Take an item with longer rolls, or a lower wall.",
    ),
    ProblemKind(
        "item-counted-two-ways",
        "One item is counted in two dimensions",
        "An item is bought once, so all that a quote needs of it is measured alike. Let the "
        "task's file give its amount as the others do, or name an item of its own.",
    ),
    ProblemKind(
        "item-bought-and-tipped",
        "One item is both bought and carried away",
        "An item has one price. What is tipped needs an item of its own.",
    ),
)
