"""Fix a paper for a link: one function, which a process that calculates can run."""

from __future__ import annotations

import hashlib

import msgspec

from service.catalog import Catalog
from service.documents.forms.typeset import pdf
from service.documents.kept_tree import tree_data
from service.documents.letters import printable
from service.documents.tree import Document
from service.operations.callers.links.fixed import Assent, Fixed, FixedContent
from service.operations.paper.asking import DocumentAsked, NotMade
from service.operations.paper.making import put_together
from service.operations.paper.payments import payments_of
from service.operations.paper.subject import PricedSubject, Sender, Subject


def fix_document(catalog: Catalog, asked: DocumentAsked) -> Fixed | NotMade:
    """The paper with its PDF. Raises QuoteFaultsError for a request that can't be quoted."""
    whole = put_together(catalog, asked)
    if isinstance(whole, NotMade):
        return whole
    if not isinstance(whole.content, Document):
        raise TypeError(f"{asked.kind} is no paper")
    set_pdf = pdf(whole.content)
    content = FixedContent(
        language=whole.sender.language,
        name=printable(whole.name),
        pdf_sha256=hashlib.sha256(set_pdf).hexdigest(),
        tree=tree_data(whole.content),
        assent=_assent(whole.subject, whole.sender) if asked.kind == "customer_quote" else None,
    )
    return Fixed(content=msgspec.json.encode(content), pdf=set_pdf)


def _assent(subject: Subject, sender: Sender) -> Assent:
    """What the customer's yes names: the total, the deposit as the paper asks for it."""
    if not isinstance(subject, PricedSubject):
        raise TypeError("a quote without prices is accepted by nobody")
    company = sender.company
    rules = subject.quote.job.jurisdiction.contract
    return Assent(
        number=printable(subject.number),
        company=printable(company.name),
        total=subject.answer.price.total,
        deposit=f"{payments_of(subject, company).deposit:f}",
        currency=subject.currency,
        units=subject.answer.units,
        cancel_days=rules.cancel_days if rules else None,
        saturday_counts=rules.saturday_counts if rules else None,
        observed_holidays=rules.observed_holidays if rules else None,
    )
