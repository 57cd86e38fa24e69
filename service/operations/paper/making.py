"""A document made: the quote calculated, its content put together, and set in the form asked for.

One function, which a process that calculates can run: what it takes and gives is data.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import msgspec

from service.catalog import Catalog
from service.documents.forms.csv_file import csv_file
from service.documents.forms.html import html_page
from service.documents.forms.typeset import pdf, png
from service.documents.forms.workbook import workbook
from service.documents.letters import printable
from service.documents.sheets import Workbook
from service.documents.tree import Document, Figure
from service.operations.paper.asking import DocumentAsked, Kept, Made, NotMade
from service.operations.paper.contract import contract
from service.operations.paper.cost_sheet import job_cost_sheet
from service.operations.paper.cost_workbook import cost_workbook
from service.operations.paper.crew_sheet import crew_sheet
from service.operations.paper.customer_quote import customer_quote
from service.operations.paper.field_subject import field_subject
from service.operations.paper.figures import figure_of, figures_of
from service.operations.paper.kinds import DRAWINGS, Form
from service.operations.paper.prepared import prepare_paper
from service.operations.paper.quotation import quotation
from service.operations.paper.quotation_xml import quotation_xml
from service.operations.paper.sender import sender_of
from service.operations.paper.subject import PricedSubject, Sender, Subject
from service.operations.paper.supplier_order import order_workbook, supplier_order, supplier_parts
from service.operations.paper.visit_sheet import visit_sheet
from service.operations.prices.stored_prices import FoundPrices
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.levels import rod_writing
from service.operations.saved.customer_request import customer_answer

Content = Document | Workbook | Figure | bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """A document put together, what it is about, who sends it, and what its file is called."""

    subject: Subject
    sender: Sender
    content: Content
    name: str


_ANSWER = msgspec.json.Decoder(QuoteAnswer)


def make_document(catalog: Catalog, asked: DocumentAsked) -> Made | NotMade:
    """The document. Raises QuoteFaultsError for a request that can't be quoted."""
    if asked.kind == "visit_sheet" and asked.stations is not None:
        sender = sender_of(asked.options, catalog, "us")
        if isinstance(sender, NotMade):
            return sender
        return _set(visit_sheet(sender, asked.stations, "us"), asked.form, sender, "visit")
    whole = put_together(catalog, asked)
    if isinstance(whole, NotMade):
        return whole
    return _set(whole.content, asked.form, whole.sender, whole.name)


def put_together(catalog: Catalog, asked: DocumentAsked) -> Whole | NotMade:
    """The content of a document about a quote, before it is set in a form. Raises QuoteFaultsError
    for a request that can't be quoted."""
    subject = field_subject(catalog, asked) if asked.for_field else _subject(catalog, asked)
    sender = sender_of(asked.options, catalog, subject.quote.job.units.name)
    if isinstance(sender, NotMade):
        return sender
    subject = _numbered(subject, sender, asked.kept)
    content = _refusal(subject, asked) or _content(subject, sender, asked)
    if isinstance(content, NotMade):
        return content
    return Whole(subject=subject, sender=sender, content=content, name=_name(subject, asked))


def _subject(catalog: Catalog, asked: DocumentAsked) -> PricedSubject:
    """The quote laid out again from its request, with the answer that was kept where it was."""
    stored = None if asked.prices is None else FoundPrices(asked.prices)
    prepared = prepare_paper(asked.kind, asked.document, catalog, stored)
    quoted = prepared.run()
    kept = asked.kept
    return PricedSubject(
        request=prepared.request,
        quote=quoted.quote,
        answer=_answer(asked, quoted.answer),
        catalog=catalog,
        rods_in=rod_writing(asked.document),
        revision=kept.revision if kept else None,
        customer=customer_answer(kept.customer) if kept and kept.customer else None,
    )


def _answer(asked: DocumentAsked, answer: QuoteAnswer) -> QuoteAnswer:
    """The answer, as it was kept where it was; a visit sheet's assumptions are today's, with what
    they are worth."""
    if asked.kept is None:
        return answer
    kept = _ANSWER.decode(asked.kept.answer)
    if asked.kind != "visit_sheet":
        return kept
    return msgspec.structs.replace(kept, assumptions=answer.assumptions)


def _numbered(subject: Subject, sender: Sender, kept: Kept | None) -> Subject:
    """The quote under its reference; a kept one without it under the company's own number."""
    number = str(subject.answer.reference) if subject.answer.reference else ""
    if not number and kept is not None:
        year = subject.issued_on.year if subject.issued_on else _year(kept.made_in)
        number = sender.company.quote_number.format(year=year, number=kept.number)
    return replace(subject, number=number)


def _year(seconds: int) -> int:
    return datetime.fromtimestamp(seconds, UTC).year


def _refusal(subject: Subject, asked: DocumentAsked) -> NotMade | None:
    """What keeps the document from being made."""
    wall = asked.options.wall
    walls = [each.name for each in subject.answer.walls]
    if wall is not None and wall not in walls:
        message = f"no wall of the quote is called {wall[:80]!r}"
        hint = f"one of: {', '.join(walls)}"
        return NotMade(code="unknown-wall", message=message, hint=hint, option="wall")
    if asked.kind not in ("customer_quote", "contract") or not isinstance(subject, PricedSubject):
        return None
    price = subject.answer.price
    if not price.complete and not subject.answer.materials_only:
        missing = "; ".join(entry.why for entry in price.not_priced)
        return NotMade(
            code="quote-incomplete", message=f"the price leaves something out: {missing}"
        )
    return None


def _content(subject: Subject, sender: Sender, asked: DocumentAsked) -> Content | NotMade:
    if asked.kind in DRAWINGS:
        figure = figure_of(subject, asked.kind, sender.words, asked.options.wall)
        return figure or _nothing(asked.kind)
    if asked.kind == "contract" and asked.kept is None:
        return _nothing(asked.kind)
    if asked.kind in _BUILT:
        return _BUILT[asked.kind](subject, sender, asked)
    if not isinstance(subject, PricedSubject):
        return _nothing("prices")
    return _PRICED[asked.kind](subject, sender, asked)


_MISSING = {
    "earthwork_map": "the quote has no earthwork: give the ground that is there",
    "order_of_work": "the quote has no order of work: it names no rates",
    "contract": "a contract is made of a saved quote: save it first",
    "prices": "it is about prices, which this key doesn't see",
}


def _nothing(kind: str) -> NotMade:
    message = _MISSING.get(kind, "the quote has nothing for it")
    return NotMade(code="nothing-to-show", message=message)


def _customer_quote(
    subject: PricedSubject, sender: Sender, asked: DocumentAsked
) -> Content | NotMade:
    if asked.form == "xml" and subject.issued_on is None:
        message = "a UBL quotation has a day, and the quote has none: give issued_on"
        return NotMade(code="nothing-to-show", message=message)
    offered = quotation(subject, sender, asked.options.detail)
    if asked.form == "json":
        return msgspec.json.encode(offered)
    if asked.form == "xml":
        return quotation_xml(offered, subject, sender)
    figures = figures_of(subject, ("plan", "elevation", "section"), sender.words)
    return customer_quote(subject, sender, asked.options.detail, figures)


def _crew_sheet(subject: Subject, sender: Sender, _: DocumentAsked) -> Content:
    words = sender.words
    figures = {
        wall.name: figures_of(subject, ("elevation", "section"), words, wall.name)
        for wall in subject.answer.walls
    }
    return crew_sheet(
        subject,
        sender,
        {**figures, "": figures_of(subject, ("plan", "order_of_work"), words)},
    )


def _supplier_order(
    subject: PricedSubject, sender: Sender, asked: DocumentAsked
) -> Content | NotMade:
    parts = supplier_parts(subject, asked.options.supplier)
    if not parts:
        known = [part.supplier for part in supplier_parts(subject) if part.supplier]
        message = "nothing of the quote is ordered from this supplier"
        hint = f"one of: {', '.join(known)}"
        return NotMade(code="unknown-supplier", message=message, hint=hint, option="supplier")
    if asked.form in ("csv", "xlsx"):
        return order_workbook(subject, sender, parts)
    return supplier_order(subject, sender, parts)


def _job_cost_sheet(subject: PricedSubject, sender: Sender, asked: DocumentAsked) -> Content:
    if asked.form == "xlsx":
        return cost_workbook(subject, sender)
    return job_cost_sheet(subject, sender)


def _visit_sheet(subject: Subject, sender: Sender, _: DocumentAsked) -> Content:
    stations = max(len(wall.profile) for wall in subject.request.walls)
    return visit_sheet(sender, stations, subject.answer.units, subject)


def _contract(subject: PricedSubject, sender: Sender, asked: DocumentAsked) -> Content:
    return contract(subject, sender, asked.options.sign_on)


# Sheets without a sum, and what prices are printed on.
_BUILT: Mapping[str, Callable[[Subject, Sender, DocumentAsked], Content | NotMade]] = {
    "crew_sheet": _crew_sheet,
    "visit_sheet": _visit_sheet,
}
_PRICED: Mapping[str, Callable[[PricedSubject, Sender, DocumentAsked], Content | NotMade]] = {
    "customer_quote": _customer_quote,
    "supplier_order": _supplier_order,
    "job_cost_sheet": _job_cost_sheet,
    "contract": _contract,
}


def _name(subject: Subject, asked: DocumentAsked) -> str:
    """What a file is called, without its ending."""
    return " ".join(part for part in (subject.number, asked.kind) if part)


def _set(content: Content, form: Form, sender: Sender, name: str) -> Made:
    """Content in a form that its kind has."""
    body, policy = b"", ""
    match content:
        case bytes():
            body = content
        case Figure():
            body = content.svg.encode() if form == "svg" else png(content, sender.language)
        case Workbook():
            body = csv_file(content.sheets[0]) if form == "csv" else workbook(content)
        case Document():
            body, policy = _paper(content, form)
    return Made(body=body, name=f"{printable(name)}.{form}", policy=policy)


def _paper(content: Document, form: Form) -> tuple[bytes, str]:
    if form == "pdf":
        return pdf(content), ""
    page = html_page(content)
    return page.text.encode(), page.policy
