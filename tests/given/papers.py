"""Documents of the example requests, as they would be sent by the shipped company."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from service.catalog import Catalog, load_catalog
from service.documents.sheets import Workbook
from service.documents.tree import Document, Figure, Language, Paper
from service.documents.words import words_of
from service.operations.paper.contract import contract
from service.operations.paper.cost_sheet import job_cost_sheet
from service.operations.paper.cost_workbook import cost_workbook
from service.operations.paper.crew_sheet import crew_sheet
from service.operations.paper.customer_quote import customer_quote
from service.operations.paper.subject import PricedSubject, Sender
from service.operations.paper.supplier_order import order_workbook, supplier_order, supplier_parts
from service.operations.paper.visit_sheet import visit_sheet
from service.operations.quoting.quote import prepare_document

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples" / "quote_walls"
KINDS = (
    "customer_quote",
    "crew_sheet",
    "supplier_order",
    "job_cost_sheet",
    "visit_sheet",
    "contract",
)


@cache
def shipped() -> Catalog:
    """The shipped catalog."""
    return load_catalog(())


@cache
def subject_of(example: str) -> PricedSubject:
    """The quote of an example request."""
    document = json.loads((EXAMPLES / f"{example}.request.json").read_text(encoding="utf-8"))
    prepared = prepare_document(document, shipped())
    quoted = prepared.run()
    return PricedSubject(
        request=prepared.request,
        quote=quoted.quote,
        answer=quoted.answer,
        catalog=shipped(),
        number="Q-2026-0001",
    )


def sender_of(subject: PricedSubject, language: Language, paper: Paper) -> Sender:
    """The shipped company, writing in a language on a paper."""
    return Sender(
        company=shipped().companies["demo_builder"].core,
        language=language,
        paper=paper,
        words=words_of(language, subject.answer.units),
    )


def paper_of(
    kind: str,
    example: str = "straight_wall",
    language: Language = "en",
    paper: Paper = "letter",
    figures: tuple[Figure, ...] = (),
) -> Document:
    """A document about an example request."""
    subject = subject_of(example)
    sender = sender_of(subject, language, paper)
    match kind:
        case "customer_quote":
            return customer_quote(subject, sender, "lines", figures)
        case "crew_sheet":
            return crew_sheet(subject, sender, {"": figures})
        case "supplier_order":
            return supplier_order(subject, sender, supplier_parts(subject))
        case "job_cost_sheet":
            return job_cost_sheet(subject, sender)
        case "visit_sheet":
            return visit_sheet(sender, 8, subject.answer.units, subject)
        case _:
            return contract(subject, sender, None)


def books_of(example: str, language: Language = "en") -> tuple[Workbook, ...]:
    """The workbooks about an example request."""
    subject = subject_of(example)
    sender = sender_of(subject, language, "letter")
    order = order_workbook(subject, sender, supplier_parts(subject))
    return cost_workbook(subject, sender), order
