"""The price line by line: each delivery says what it brings, and none who brings it."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import pytest
from msgspec.structs import replace as struct_with

from service.core.quote import quote
from service.documents.tree import Language
from service.documents.words import words_of
from service.operations.paper.price_rows import sold_rows
from service.operations.paper.subject import PricedSubject
from service.operations.quoting.quote_answer import from_core
from tests.given.papers import shipped, subject_of

YARD, OTHER_YARD = "Demo stone yard", "Another yard"
# One yard brings the blocks, the other stone and topsoil; a small digger is hired, and the
# builder's own skid steer is brought.
TOLD = {
    "en": [
        "Delivery: blocks and caps",
        "Delivery: stone, soil and fill",
        "Narrow excavator of 2,300 lb, delivery",
        "Narrow excavator of 2,300 lb, pick-up",
        "Deposit on pallets: blocks and caps",
        "Skid steer, delivery",
    ],
    "es": [
        "Entrega: bloques y tapas",
        "Entrega: piedra, suelo y relleno",
        "Excavadora angosta de 2,300 lb, entrega",
        "Excavadora angosta de 2,300 lb, recogida",
        "Depósito por tarimas: bloques y tapas",
        "Minicargador, entrega",
    ],
}


def freight_of(subject: PricedSubject, language: Language = "en") -> list[str]:
    """What is said of each delivery, line by line."""
    words = words_of(language)
    group = words.say("Delivery")
    return [row.description for row in sold_rows(subject, "lines", words) if row.group == group]


def two_stone_yards() -> PricedSubject:
    """A quote whose pad stone comes from one yard, and the stone behind the blocks from another."""
    subject = subject_of("straight_wall")
    prices = subject.quote.prices
    stone = {"base_stone": replace(prices.items["base_stone"], supplier=OTHER_YARD)}
    delivery = {**prices.delivery, OTHER_YARD: prices.delivery[YARD]}
    prices = replace(
        prices,
        items=MappingProxyType({**prices.items, **stone}),
        delivery=MappingProxyType(delivery),
    )
    quoted = quote(subject.quote.job, prices)
    answer = from_core(quoted, subject.request, shipped().version, (), None)
    return replace(subject, quote=quoted, answer=answer)


@pytest.mark.parametrize("language", ["en", "es"])
def test_deliveries_say_what_is_brought(language: Language) -> None:
    """A supplier's freight names the groups of his goods, a machine's the machine."""
    assert freight_of(subject_of("garden_wall"), language) == TOLD[language]


def test_deliveries_of_the_same_goods_are_numbered() -> None:
    """Two yards that both bring stone are told apart, and neither is named."""
    told = freight_of(two_stone_yards())
    assert [text for text in told if text.startswith("Delivery:") and "stone" in text] == [
        "Delivery: stone (1)",
        "Delivery: stone (2)",
    ]


def test_deliveries_of_unknown_suppliers_are_numbered() -> None:
    """Where the list has forgotten who brings it, freight is told as such."""
    subject = subject_of("straight_wall")
    nobody = replace(subject.quote.prices, delivery=MappingProxyType({}))
    told = freight_of(replace(subject, quote=replace(subject.quote, prices=nobody)))
    assert told == [
        "Delivery (1)",
        "Delivery (2)",
        "Deposit on pallets",
        "Skid steer, delivery",
    ]


def test_machines_of_ones_own_are_brought_in_the_papers_language() -> None:
    """Machines keep their own names; what is done with them is said in Spanish."""
    subject = subject_of("garden_wall")
    own = "Old digger, delivery; Skid steer, delivery"
    lines = tuple(
        struct_with(line, description=own) if line.item == "machine_delivery" else line
        for line in subject.answer.price.lines
    )
    price = struct_with(subject.answer.price, lines=lines)
    told = freight_of(replace(subject, answer=struct_with(subject.answer, price=price)), "es")
    assert "Old digger, entrega; Minicargador, entrega" in told
