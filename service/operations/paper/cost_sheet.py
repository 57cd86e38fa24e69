"""The office's sheet: every line with cost, price and its arithmetic, hours, margin, checks."""

from __future__ import annotations

from collections.abc import Iterator

from service.documents.tree import Block, Column, Document, Facts, Heading, Paragraph, Row, Table
from service.documents.words import Words, msgid
from service.operations.paper.document_head import document_of
from service.operations.paper.heeded import caution_sentences
from service.operations.paper.subject import PricedSubject, Sender
from service.operations.paper.written import exact, length

AMOUNTS = {
    "direct_cost": msgid("Direct cost"),
    "overhead": msgid("Overhead"),
    "contingency": msgid("Contingency"),
    "profit": msgid("Profit"),
    "discount": msgid("Discount"),
    "added_to_reach_minimum": msgid("Added to reach the minimum"),
    "subtotal": msgid("Subtotal"),
    "tax": msgid("Tax"),
    "total": msgid("Total"),
    "margin": msgid("Margin"),
    "deposit": msgid("Deposit"),
}
STATUSES = {
    "pass": msgid("passes"),
    "pass_as_assumed": msgid("passes as assumed"),
    "fail": msgid("fails"),
    "not_checked": msgid("not checked"),
}


def job_cost_sheet(subject: PricedSubject, sender: Sender) -> Document:
    """The whole breakdown, for the office alone."""
    words = sender.words
    blocks: list[Block] = [
        Paragraph(
            text=words.say("For the office: costs, hours and margin. Not for the customer."),
            tone="caution",
        ),
        Facts(rows=tuple(_head(subject, words))),
        *_lines(subject, words),
        *_roll_up(subject, words),
        *_hours(subject, words),
        *_checks(subject, words),
        *_assumptions(subject, words),
        Heading(text=words.say("Heed")),
        *(Paragraph(text=text) for text in caution_sentences(subject, "crew", words)),
    ]
    return document_of(subject, sender, words.say("Job cost sheet"), tuple(blocks))


def _head(subject: PricedSubject, words: Words) -> Iterator[tuple[str, str]]:
    answer = subject.answer
    if subject.number:
        yield words.say("Number"), subject.number
    if isinstance(answer.issued_on, str):
        yield words.say("Date"), words.day(answer.issued_on)
    if answer.price_list:
        named = f"{answer.price_list.id}, {answer.price_list.revision}"
        yield words.say("Price list, revision"), named
    yield words.say("Currency"), subject.currency


def _lines(subject: PricedSubject, words: Words) -> Iterator[Block]:
    yield Heading(text=words.say("Lines"))
    yield Table(
        caption=words.say("Lines of the price, with cost and sale price"),
        columns=(
            Column(title=words.say("What"), share=2.2),
            Column(title=words.say("Quantity"), align="end"),
            Column(title=words.say("Unit cost"), align="end", share=0.9),
            Column(title=words.say("Cost"), align="end", share=0.9),
            Column(title=words.say("Price"), align="end", share=0.9),
            Column(title=words.say("How"), share=3.2),
        ),
        rows=tuple(
            Row(
                cells=(
                    words.say_data(line.description),
                    exact(line.quantity, words),
                    words.figure(line.unit_cost),
                    words.figure(line.cost),
                    words.figure(line.price),
                    "; ".join(line.how),
                )
            )
            for line in subject.answer.price.lines
        ),
    )


def _roll_up(subject: PricedSubject, words: Words) -> Iterator[Block]:
    price = subject.answer.price
    yield Heading(text=words.say("From cost to price"))
    rows = []
    for name, title in AMOUNTS.items():
        amount = getattr(price, name)
        shown = words.say("none") if amount is None else words.figure(amount)
        if name == "margin" and amount is not None:
            shown = words.share(amount)
        rows.append(
            Row(
                cells=(words.say(title), shown, price.how.get(name, "")),
                kind="sum" if name in ("subtotal", "total") else "plain",
            )
        )
    yield Table(
        caption=words.say("Amounts and their arithmetic"),
        columns=(
            Column(title=words.say("Amount"), share=1.3),
            Column(title=subject.currency, align="end"),
            Column(title=words.say("How"), share=3.5),
        ),
        rows=tuple(rows),
    )


def _hours(subject: PricedSubject, words: Words) -> Iterator[Block]:
    labor = subject.answer.labor
    if not labor:
        return
    yield Heading(text=words.say("Hours"))
    rows = [
        Row(
            cells=(
                words.say_data(task.title),
                exact(task.quantity, words),
                *(words.figure(figure) for figure in (task.hours_low, task.hours, task.hours_high)),
                "; ".join(task.how),
            )
        )
        for task in labor.tasks
    ]
    sums = (labor.labor_hours_low, labor.labor_hours, labor.labor_hours_high)
    rows.append(
        Row(cells=(words.say("Labor"), "", *map(words.figure, sums), ""), kind="sum"),
    )
    yield Table(
        caption=words.say("Hours of each task: likely range and expected"),
        columns=(
            Column(title=words.say("Task"), share=2.2),
            Column(title=words.say("Quantity"), align="end"),
            Column(title=words.say("Low"), align="end", share=0.7),
            Column(title=words.say("Expected"), align="end", share=0.8),
            Column(title=words.say("High"), align="end", share=0.7),
            Column(title=words.say("How"), share=3.0),
        ),
        rows=tuple(rows),
    )


def _checks(subject: PricedSubject, words: Words) -> Iterator[Block]:
    checks = subject.answer.checks
    yield Heading(text=words.say("First look at stability"))
    yield Paragraph(
        text=words.say(
            "A screening with published methods, not a design: local code and a licensed engineer "
            "have the last word."
        ),
        tone="caution",
    )
    if not checks:
        return
    yield Table(
        caption=words.say("Checks of each wall"),
        columns=(
            Column(title=words.say("Wall"), share=1.3),
            Column(title=words.say("Check"), share=1.4),
            Column(title=words.say("Station"), align="end"),
            Column(title=words.say("Value"), align="end", share=0.8),
            Column(title=words.say("Required"), align="end", share=0.8),
            Column(title=words.say("Result"), share=1.3),
        ),
        rows=tuple(
            Row(
                cells=(
                    check.wall,
                    words.say_data(check.check.replace("_", " ")),
                    length(check.station, words) if check.station else "",
                    words.figure(str(check.value)) if check.value else "",
                    words.figure(str(check.required)) if check.required else "",
                    words.say(STATUSES.get(check.status, check.status)),
                )
            )
            for check in checks
        ),
    )


def _assumptions(subject: PricedSubject, words: Words) -> Iterator[Block]:
    yield Heading(text=words.say("What the quote takes for granted"))
    yield Table(
        caption=words.say("Assumptions by field of the request"),
        columns=(
            Column(title=words.say("Field"), share=1.6),
            Column(title=words.say("Taken as"), share=1.2),
            Column(title=words.say("Why"), share=3.0),
        ),
        rows=tuple(
            Row(cells=(entry.field, entry.value, entry.why)) for entry in subject.answer.assumptions
        ),
    )
