"""The customer's quote as a UBL 2.1 Quotation (ISO/IEC 19845), with codes of Recommendation 20.

Only what 2.1 knows is written, in its order of elements. Lines add up to `TaxExclusiveAmount`.
"""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from lxml import etree

from service.operations.paper.document_head import address_lines
from service.operations.paper.quotation import Quotation, QuotationLine
from service.operations.paper.subject import PricedSubject, Sender
from service.operations.paper.unit_codes import UNIT_CODES
from service.operations.saved.customer_request import PostalAddressAnswer

_ROOT = "urn:oasis:names:specification:ubl:schema:xsd:Quotation-2"
_PARTS = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
_BASICS = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"
_NAMESPACES = {None: _ROOT, "cac": _PARTS, "cbc": _BASICS}


def quotation_xml(offered: Quotation, subject: PricedSubject, sender: Sender) -> bytes:
    """The document, UTF-8, of a quote that has a day: the standard asks for one."""
    root = etree.Element(f"{{{_ROOT}}}Quotation", nsmap=_NAMESPACES)  # type: ignore[arg-type]
    _basic(root, "UBLVersionID", "2.1")
    _basic(root, "ID", _id_of(subject))
    _basic(root, "UUID", str(UUID(subject.answer.digest[:32])))
    _basic(root, "IssueDate", str(offered.issued_on))
    for note in (*offered.scope, *offered.not_included, *offered.please_note):
        _basic(root, "Note", note)
    _basic(root, "PricingCurrencyCode", offered.currency)
    _basic(root, "LineCountNumeric", str(len(offered.lines)))
    if offered.valid_until:
        _basic(_part(root, "ValidityPeriod"), "EndDate", str(offered.valid_until))
    _parties(root, subject, sender)
    conditions = _part(root, "TransactionConditions")
    _basic(conditions, "ID", "deposit")
    _basic(conditions, "Description", f"{offered.deposit} {offered.currency}")
    _tax(root, offered, subject)
    total = _part(root, "QuotedMonetaryTotal")
    _money(total, "LineExtensionAmount", offered.subtotal, offered.currency)
    _money(total, "TaxExclusiveAmount", offered.subtotal, offered.currency)
    _money(total, "TaxInclusiveAmount", offered.total, offered.currency)
    _money(total, "PayableAmount", offered.total, offered.currency)
    _lines(root, offered.lines, offered.currency)
    written: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)
    return written


def _id_of(subject: PricedSubject) -> str:
    """The quote's number, with the revision of a kept one."""
    name = subject.number or subject.answer.digest[:16]
    return f"{name}-r{subject.revision}" if subject.revision else name


def _parties(root: etree._Element, subject: PricedSubject, sender: Sender) -> None:
    company, customer = sender.company, subject.customer
    seller = _part(_part(root, "SellerSupplierParty"), "Party")
    _party(seller, company.name, company.address)
    if customer is None:
        return
    named = [str(name) for name in (customer.company, customer.name) if name]
    address = customer.billing_address
    lines = address_lines(address) if isinstance(address, PostalAddressAnswer) else []
    if named:
        _party(_part(_part(root, "BuyerCustomerParty"), "Party"), named[0], lines)


def _party(party: etree._Element, name: str, lines: Iterable[str]) -> None:
    _basic(_part(party, "PartyName"), "Name", name)
    lines = tuple(lines)
    if lines:
        address = _part(party, "PostalAddress")
        for line in lines:
            _basic(_part(address, "AddressLine"), "Line", line)


def _tax(root: etree._Element, offered: Quotation, subject: PricedSubject) -> None:
    terms = subject.quote.job.terms
    total = _part(root, "TaxTotal")
    _money(total, "TaxAmount", offered.tax, offered.currency)
    if terms is None or terms.tax.base != "price" or not terms.tax.rate:
        return
    part = _part(total, "TaxSubtotal")
    _money(part, "TaxAmount", offered.tax, offered.currency)
    category = _part(part, "TaxCategory")
    _basic(category, "Percent", f"{(terms.tax.rate * 100).normalize():f}")
    _basic(_part(category, "TaxScheme"), "Name", "Sales tax")


def _lines(root: etree._Element, lines: Iterable[QuotationLine], currency: str) -> None:
    for number, line in enumerate(lines, start=1):
        item = _part(_part(root, "QuotationLine"), "LineItem")
        _basic(item, "ID", str(number))
        code = UNIT_CODES[line.quantity.unit]
        quantity = etree.SubElement(item, f"{{{_BASICS}}}Quantity", unitCode=code)
        quantity.text = line.quantity.value
        _money(item, "LineExtensionAmount", line.price, currency)
        sold = _part(item, "Item")
        _basic(sold, "Description", line.group)
        _basic(sold, "Name", line.description)


def _part(parent: etree._Element, name: str) -> etree._Element:
    return etree.SubElement(parent, f"{{{_PARTS}}}{name}")


def _basic(parent: etree._Element, name: str, text: str) -> None:
    etree.SubElement(parent, f"{{{_BASICS}}}{name}").text = text


def _money(parent: etree._Element, name: str, amount: str, currency: str) -> None:
    element = etree.SubElement(parent, f"{{{_BASICS}}}{name}", currencyID=currency)
    element.text = amount
