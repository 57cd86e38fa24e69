"""The customer's quote as data: types of its own, in which no cost, hour or item code exists."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import UNSET, Struct, UnsetType

from service.documents.words import Words
from service.operations.answer_figures import Day, Measure, Money
from service.operations.paper.heeded import assumption_sentences, caution_sentences
from service.operations.paper.included import allowances, left_out
from service.operations.paper.payments import payments_of
from service.operations.paper.price_rows import Detail, sold_rows
from service.operations.paper.scope import scope_sentences
from service.operations.paper.subject import PricedSubject, Sender

LUMP_SUM = Measure("1", "LS")


class QuotationLine(Struct, frozen=True):
    """What is sold; labor and machines are one lump sum, quantity 1 in `LS`."""

    description: str
    group: str
    quantity: Measure
    price: Money


class QuotationSum(Struct, frozen=True):
    """A sum in words and money: an allowance, or a payment when it is due."""

    description: str
    sum: Money


class Quotation(Struct, frozen=True):
    """What a customer is offered."""

    title: str
    seller: str
    scope: tuple[str, ...]
    lines: tuple[QuotationLine, ...]
    currency: str
    subtotal: Money
    tax: Money
    total: Money
    deposit: Money
    payments: tuple[QuotationSum, ...]
    allowances: tuple[QuotationSum, ...]
    not_included: tuple[str, ...]
    takes_for_granted: tuple[str, ...]
    please_note: tuple[str, ...]
    terms: tuple[str, ...]
    number: str | UnsetType = UNSET
    issued_on: Day | UnsetType = UNSET
    valid_until: Day | UnsetType = UNSET
    materials_only: bool = False
    warranty: str | UnsetType = UNSET


def quotation(subject: PricedSubject, sender: Sender, detail: Detail) -> Quotation:
    """The customer's quote as data."""
    words, answer, company = sender.words, subject.answer, sender.company
    plan = payments_of(subject, company)
    return Quotation(
        title=answer.title if isinstance(answer.title, str) else words.say("Quote"),
        seller=company.name,
        scope=tuple(scope_sentences(subject, words)),
        lines=tuple(_lines(subject, detail, words)),
        currency=subject.currency,
        subtotal=answer.price.subtotal,
        tax=answer.price.tax,
        total=answer.price.total,
        deposit=f"{plan.deposit:f}",
        payments=tuple(
            QuotationSum(description=stage.due, sum=f"{stage.sum:f}") for stage in plan.stages
        ),
        allowances=tuple(
            QuotationSum(description=what, sum=part) for what, part in allowances(subject)
        ),
        not_included=tuple(dict.fromkeys(left_out(subject, company, words))),
        takes_for_granted=tuple(dict.fromkeys(assumption_sentences(subject, words))),
        please_note=tuple(caution_sentences(subject, "customer", words)),
        terms=company.terms,
        number=subject.number or UNSET,
        issued_on=answer.issued_on,
        valid_until=answer.valid_until,
        materials_only=answer.materials_only,
        warranty=company.warranty or UNSET,
    )


def _lines(subject: PricedSubject, detail: Detail, words: Words) -> Iterator[QuotationLine]:
    for row in sold_rows(subject, detail, words):
        yield QuotationLine(
            description=row.description,
            group=row.group,
            quantity=row.quantity or LUMP_SUM,
            price=f"{row.price:f}",
        )
