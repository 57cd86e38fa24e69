"""The customer's quote: what is built, what it costs, what is not in it, and where to sign."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from service.core.measure import unit_sign
from service.documents.tree import (
    Block,
    Bullets,
    Column,
    Document,
    Facts,
    Figure,
    Heading,
    Paragraph,
    Row,
    RowKind,
    Signatures,
    Table,
)
from service.documents.words import Words
from service.operations.paper.document_head import address_lines, document_of, site_line
from service.operations.paper.heeded import assumption_sentences, caution_sentences
from service.operations.paper.included import allowances, left_out
from service.operations.paper.payments import payments_of
from service.operations.paper.price_rows import Detail, sold_rows
from service.operations.paper.scope import scope_sentences
from service.operations.paper.subject import PricedSubject, Sender
from service.operations.saved.customer_request import PostalAddressAnswer


def customer_quote(
    subject: PricedSubject, sender: Sender, detail: Detail, figures: tuple[Figure, ...]
) -> Document:
    """The quote that a customer reads and signs. No cost, hour, margin or supplier is in it."""
    words = sender.words
    title = words.say("Quote")
    if subject.answer.materials_only:
        title = words.say("Quote for materials only, without labor")
    blocks = (
        Facts(rows=tuple(_head(subject, words))),
        Heading(text=words.say("What we build")),
        Bullets(items=tuple(scope_sentences(subject, words))),
        *figures,
        *_price(subject, detail, words),
        *_payment(subject, sender, words),
        *_not_included(subject, sender, words),
        *_if_we_find(sender, words),
        *_rests_on(subject, words),
        *_terms(sender, words),
        Heading(text=words.say("Agreed")),
        Signatures(
            parties=(words.say("Customer"), sender.company.name),
            signature=words.say("Signature"),
            date=words.say("Date"),
        ),
    )
    return document_of(subject, sender, title, blocks)


def _head(subject: PricedSubject, words: Words) -> Iterator[tuple[str, str]]:
    answer = subject.answer
    if subject.number:
        yield words.say("Number"), subject.number
    if isinstance(answer.issued_on, str):
        yield words.say("Date"), words.day(answer.issued_on)
    if isinstance(answer.valid_until, str):
        yield words.say("Valid until"), words.day(answer.valid_until)
    customer = subject.customer
    if customer:
        names = (customer.name, customer.company)
        lines = [str(name) for name in names if isinstance(name, str)]
        if isinstance(customer.billing_address, PostalAddressAnswer):
            lines += address_lines(customer.billing_address)
        yield words.say("For"), ", ".join(lines)
    if site_line(subject):
        yield words.say("Site"), site_line(subject)


def _price(subject: PricedSubject, detail: Detail, words: Words) -> Iterator[Block]:
    yield Heading(text=words.say("Price"))
    yield _price_table(subject, detail, words)
    if subject.answer.materials_only:
        text = words.say(
            "This is the price of materials. No labor, machine or tax on work is in it."
        )
        yield Paragraph(text=text, tone="lead")
    sums = tuple(_allowances(subject, words))
    if sums:
        yield Heading(text=words.say("Allowances"), level=3)
        yield Bullets(items=sums)


def _price_table(subject: PricedSubject, detail: Detail, words: Words) -> Table:
    """What is sold and its price, with amounts where each line is shown, and the sums."""
    price, amounts = subject.answer.price, detail == "lines"
    first, amount, last = (
        Column(title=words.say("What"), share=3.0),
        Column(title=words.say("How much"), align="end", share=1.4),
        Column(title=words.say("Price in {currency}", currency=subject.currency), align="end"),
    )

    def row(what: str, much: str, price: str, kind: RowKind = "plain") -> Row:
        middle = (much,) if amounts else ()
        return Row(cells=(what, *middle, words.figure(price)), kind=kind)

    body = [
        row(sold.description, sold.amount(words), f"{sold.price:f}")
        for sold in sold_rows(subject, detail, words)
    ]
    body.append(row(words.say("Subtotal"), "", price.subtotal, "sum"))
    if Decimal(price.tax):
        body.append(row(words.say("Tax"), "", price.tax, "sum"))
    body.append(row(words.say("Total"), "", price.total, "sum"))
    return Table(
        caption=words.say("What is built and done, and its price"),
        columns=(first, amount, last) if amounts else (first, last),
        rows=tuple(body),
    )


def _allowances(subject: PricedSubject, words: Words) -> Iterator[str]:
    for what, part in allowances(subject):
        yield words.say(
            "{what}: {sum} of the price stands for it; what it really takes is settled when it is "
            "known.",
            what=words.say_data(what),
            sum=words.money(part, subject.currency),
        )


def _payment(subject: PricedSubject, sender: Sender, words: Words) -> Iterator[Block]:
    plan, currency = payments_of(subject, sender.company), subject.currency
    if not plan.deposit and not plan.stages:
        return
    yield Heading(text=words.say("Payment"))
    rows = [(words.say("Deposit, on signing"), words.money(f"{plan.deposit:f}", currency))]
    rows += [
        (words.say_data(stage.due), words.money(f"{stage.sum:f}", currency))
        for stage in plan.stages
    ]
    yield Facts(rows=tuple(row for row in rows if plan.deposit or row is not rows[0]))
    if plan.capped:
        text = words.say("The deposit is what local law allows at most.")
        yield Paragraph(text=text, tone="small")


def _not_included(subject: PricedSubject, sender: Sender, words: Words) -> Iterator[Block]:
    items = tuple(dict.fromkeys(left_out(subject, sender.company, words)))
    if items:
        yield Heading(text=words.say("What is not included"))
        yield Bullets(items=items)


def _if_we_find(sender: Sender, words: Words) -> Iterator[Block]:
    rates, currency = sender.company.if_we_find, sender.company.currency or ""
    if rates:
        yield Heading(text=words.say("If we find what nobody could see"))
        yield Paragraph(text=words.say("We stop, show you, and go on at these rates if you agree."))
        yield Facts(
            rows=tuple(
                (
                    words.say_data(rate.where),
                    words.say(
                        "{price} for each {unit}",
                        price=words.money(f"{rate.price:f}", currency),
                        unit=unit_sign(words.say_data(rate.per)),
                    ),
                )
                for rate in rates
            )
        )
        yield Paragraph(text=words.say("None of it is in the total."), tone="small")


def _rests_on(subject: PricedSubject, words: Words) -> Iterator[Block]:
    assumed = tuple(dict.fromkeys(assumption_sentences(subject, words)))
    if assumed:
        yield Heading(text=words.say("What the price takes for granted"))
        yield Bullets(items=assumed)
    cautions = tuple(caution_sentences(subject, "customer", words))
    if cautions:
        yield Heading(text=words.say("Please note"))
        yield Bullets(items=cautions)


def _terms(sender: Sender, words: Words) -> Iterator[Block]:
    company = sender.company
    if company.terms:
        yield Heading(text=words.say("Terms"))
        yield Bullets(items=tuple(words.say_data(term) for term in company.terms), marks="numbers")
    if company.warranty:
        yield Paragraph(label=words.say("Warranty"), text=words.say_data(company.warranty))
