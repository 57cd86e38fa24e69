"""A contract to be looked at by a lawyer: parties, work, price, payments, dates, cancelling."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from service.documents.tree import (
    Blanks,
    Block,
    Bullets,
    Column,
    Document,
    Facts,
    Heading,
    PageBreak,
    Paragraph,
    Row,
    Signatures,
    Table,
)
from service.documents.words import Words
from service.operations.paper.document_head import address_lines, document_of, site_line
from service.operations.paper.heeded import assumption_sentences, caution_sentences
from service.operations.paper.included import left_out
from service.operations.paper.last_day import last_day_to_cancel
from service.operations.paper.payments import payments_of
from service.operations.paper.scope import scope_sentences
from service.operations.paper.subject import PricedSubject, Sender
from service.operations.paper.written import about
from service.operations.saved.customer_request import PostalAddressAnswer

# To be filled in by hand.
_BLANK = "____________________"


def contract(subject: PricedSubject, sender: Sender, sign_on: date | None) -> Document:
    """A draft contract for a saved quote. `sign_on` is the day on which it is to be signed."""
    words = sender.words
    blocks = (
        Paragraph(
            text=words.say(
                "A draft: have it read by a lawyer who knows the law of the place before anybody "
                "signs it."
            ),
            tone="caution",
        ),
        Heading(text=words.say("Parties")),
        Facts(rows=tuple(_parties(subject, sender))),
        Heading(text=words.say("The work")),
        Bullets(items=tuple(scope_sentences(subject, words))),
        *_materials(subject, words),
        *_left_out(subject, sender),
        *_dates(subject, words),
        *_money(subject, sender),
        *_changes(sender),
        *_rests_on(subject, words),
        *_cancelling(subject, words, sign_on),
        Heading(text=words.say("Signed")),
        Signatures(
            parties=(words.say("Customer"), sender.company.name),
            signature=words.say("Signature"),
            date=words.say("Date"),
        ),
        *_notices(subject, sender, sign_on),
    )
    title = words.say("Contract, a draft")
    if subject.answer.materials_only:
        title = words.say("Contract for materials only, a draft")
    return document_of(subject, sender, title, blocks)


def _parties(subject: PricedSubject, sender: Sender) -> Iterator[tuple[str, str]]:
    words, company, customer = sender.words, sender.company, subject.customer
    own = (company.name, *company.address, *company.contact, *company.registration)
    yield words.say("Contractor"), ", ".join(own)
    named = [str(n) for n in (customer.name, customer.company) if n] if customer else []
    if customer and isinstance(customer.billing_address, PostalAddressAnswer):
        named += address_lines(customer.billing_address)
    yield words.say("Customer"), ", ".join(named) or _BLANK
    yield words.say("Site"), site_line(subject) or _BLANK
    if subject.number:
        yield words.say("By quote"), subject.number


def _materials(subject: PricedSubject, words: Words) -> Iterator[Block]:
    rows = tuple(
        Row(cells=(words.say_data(line.description), about(line.net, words)))
        for line in subject.answer.quantities
        if subject.is_material(line.item)
    )
    yield Table(
        caption=words.say("Principal materials, as they are built in"),
        columns=(
            Column(title=words.say("Make, grade, size"), share=3.0),
            Column(title=words.say("How much"), align="end"),
        ),
        rows=rows,
    )


def _left_out(subject: PricedSubject, sender: Sender) -> Iterator[Block]:
    items = tuple(dict.fromkeys(left_out(subject, sender.company, sender.words)))
    if items:
        yield Heading(text=sender.words.say("What is not included"))
        yield Bullets(items=items)


def _dates(subject: PricedSubject, words: Words) -> Iterator[Block]:
    yield Heading(text=words.say("Start and completion"))
    order = subject.answer.order_of_work
    rows = [(words.say("Work begins on"), _BLANK), (words.say("Substantially complete on"), _BLANK)]
    if order:
        rows.append((words.say("Working days planned"), words.figure(order.working_days)))
        if order.weather:
            rows.append(
                (
                    words.say("With days lost to weather, likely at most"),
                    words.figure(str(order.weather.likely_days)),
                )
            )
    yield Facts(rows=tuple(rows))
    yield Paragraph(
        text=words.say(
            "Weather, what is found in the ground, permits and changes that are asked for may move "
            "these days; each is told in writing."
        )
    )


def _money(subject: PricedSubject, sender: Sender) -> Iterator[Block]:
    words, price = sender.words, subject.answer.price
    plan = payments_of(subject, sender.company)

    def money(amount: str) -> str:
        return words.money(amount, subject.currency)

    yield Heading(text=words.say("Price and payments"))
    rows = [(words.say("Price"), money(price.subtotal)), (words.say("Tax"), money(price.tax))]
    rows.append((words.say("Total price"), money(price.total)))
    rows.append((words.say("Deposit, not before signing"), money(f"{plan.deposit:f}")))
    rows += [(words.say_data(stage.due), money(f"{stage.sum:f}")) for stage in plan.stages]
    if not plan.stages:
        rest = Decimal(price.total) - plan.deposit
        rows.append((words.say("When the work is complete"), money(f"{rest:f}")))
    yield Facts(rows=tuple(rows))


def _changes(sender: Sender) -> Iterator[Block]:
    words, company = sender.words, sender.company
    yield Heading(text=words.say("Changes, terms and warranty"))
    yield Paragraph(
        text=words.say(
            "A change of work or price is written down and signed by both before it is built."
        )
    )
    if company.terms:
        yield Bullets(items=tuple(words.say_data(term) for term in company.terms), marks="numbers")
    if company.warranty:
        yield Paragraph(label=words.say("Warranty"), text=words.say_data(company.warranty))


def _rests_on(subject: PricedSubject, words: Words) -> Iterator[Block]:
    sentences = (
        *dict.fromkeys(assumption_sentences(subject, words)),
        *caution_sentences(subject, "customer", words),
    )
    if sentences:
        yield Heading(text=words.say("What the price takes for granted, and what to heed"))
        yield Bullets(items=sentences)


def _cancelling(subject: PricedSubject, words: Words, sign_on: date | None) -> Iterator[Block]:
    rules = subject.quote.job.jurisdiction.contract
    if rules is None or rules.cancel_days is None:
        return
    yield Heading(text=words.say("Right to cancel"))
    yield Paragraph(text=_right(subject, words, sign_on), tone="lead")


def _right(subject: PricedSubject, words: Words, sign_on: date | None) -> str:
    rules = subject.quote.job.jurisdiction.contract
    last = last_day_to_cancel(sign_on, rules) if rules and sign_on else None
    if last is not None:
        return words.say(
            "The customer may cancel, without giving a reason, until midnight of {day}.",
            day=words.day(last.isoformat()),
        )
    days = rules.cancel_days if rules else 0
    return words.say(
        "The customer may cancel, without giving a reason, until midnight of business day "
        "{days} after signing: ____________________. Sundays and federal holidays are no business "
        "days.",
        days=days,
    )


def _notices(subject: PricedSubject, sender: Sender, sign_on: date | None) -> Iterator[Block]:
    """The notice of cancellation, twice: one for each party."""
    words, company = sender.words, sender.company
    rules = subject.quote.job.jurisdiction.contract
    if rules is None or rules.cancel_days is None:
        return
    for copy in (words.say("customer's copy"), words.say("contractor's copy")):
        yield PageBreak()
        yield Heading(text=words.say("Notice of cancellation, {copy}", copy=copy))
        yield Paragraph(text=_right(subject, words, sign_on), tone="lead")
        yield Paragraph(
            text=words.say(
                "To cancel, send or hand this page, signed and dated, to {contractor} by then. "
                "What was paid is returned within 10 business days.",
                contractor=", ".join((company.name, *company.address)),
            )
        )
        yield Blanks(rows=((words.say("I cancel this contract. Date"), ""),))
        yield Signatures(
            parties=(words.say("Customer"),),
            signature=words.say("Signature"),
            date=words.say("Date"),
        )
