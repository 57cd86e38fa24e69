"""The price of a quote as tables: its lines, the way from cost to total, what is left out."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from rich.console import Console

from service.cli.columns import (
    Column,
    aligned,
    print_columns,
    print_heading,
    print_rows,
    print_steps,
    shown,
)
from service.cli.measure_cells import measure_cells
from service.cli.pointers import words_of
from service.core.money import percent
from service.core.price.price import ROLL_UP
from service.operations.quoting.answer import NotPricedAnswer, PriceAnswer, PriceLineAnswer
from service.operations.readable import lengths_read

_SUMS = ("subtotal", "total")
_LEFT_OUT_AT_ZERO = ("discount", "added_to_reach_minimum", "deposit")
# Amounts that are a share of something: the answer says of what.
_SHARES = ("overhead", "contingency", "profit", "tax", "deposit", "margin")


def print_lines(
    console: Console, lines: Sequence[PriceLineAnswer], *, how: bool, ids: bool
) -> None:
    """Print what each line costs, and its share of the subtotal."""
    taxed = ["yes" if line.taxable else "" for line in lines]
    columns = (
        Column(head="item", cells=[line.description for line in lines], words=True),
        Column(head="id", cells=[line.item if ids else "" for line in lines], words=True),
        Column(head="kind", cells=[line.kind for line in lines], words=True, roomy=True),
        Column(head="quantity", cells=measure_cells([line.quantity for line in lines], exact=True)),
        Column(
            head="unit cost", cells=aligned((line.unit_cost, f"per {line.per}") for line in lines)
        ),
        Column(head="cost", cells=[line.cost for line in lines]),
        Column(head="price", cells=[line.price for line in lines]),
        Column(head="taxed", cells=taxed, words=True),
    )
    print_columns(console, "Price", columns)
    if how:
        print_steps(console, "How they are priced", [(x.description, x.how) for x in lines])


def print_roll_up(console: Console, price: PriceAnswer, currency: str, *, how: bool) -> None:
    """Amounts in the order in which they arise, each share with its base."""
    print_heading(console, f"From cost to total, {currency}")
    amounts = {name: str(getattr(price, name)) for name in ROLL_UP if name != "margin"}
    shown_amounts = {
        name: amount
        for name, amount in amounts.items()
        if how or Decimal(amount) or name not in _LEFT_OUT_AT_ZERO
    }
    # The margin is a share, which stands below the sums.
    shown_amounts["margin"] = "none" if price.margin is None else percent(Decimal(price.margin))
    rows = []
    for name, amount in shown_amounts.items():
        style = "bold" if name in _SUMS else ""
        basis = shown(_basis(name, price.how[name], how=how), "dim")
        rows.append((shown(name.replace("_", " "), style), shown(amount, style), basis))
    print_rows(console, rows, figures=True)


def _basis(name: str, words: str, *, how: bool) -> str:
    """What an amount is a share of; with `how` its whole arithmetic."""
    if how:
        return words
    return words.partition(" = ")[0] if name in _SHARES else ""


def print_left_out(console: Console, price: PriceAnswer) -> None:
    """Print what has no price in this quote, and why."""
    if price.complete:
        return
    print_heading(console, "Not in this total")
    print_rows(
        console,
        [
            (shown(gap.part, "bold"), shown(f"{lengths_read(gap.why)} ({_comes_in(gap)})"))
            for gap in price.not_priced
        ],
    )


def _comes_in(gap: NotPricedAnswer) -> str:
    return f"comes in with {words_of(gap.field)}"


def _capital(sentence: str) -> str:
    return f"{sentence[:1].upper()}{sentence[1:]}"


def print_needed(console: Console, price: PriceAnswer) -> None:
    """Print what the job needs beside this quote."""
    if not price.needed_not_priced:
        return
    print_heading(console, "Not included")
    rows = [
        (shown(each.what, "bold"), shown(_capital(each.text.removeprefix("Not included: "))))
        for each in price.needed_not_priced
    ]
    print_rows(console, rows)
