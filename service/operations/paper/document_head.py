"""The frame of every document about a quote: head, footer, last line; addresses on paper."""

from __future__ import annotations

from service.documents.tree import Block, Document
from service.operations.paper.subject import Sender, Subject
from service.operations.saved.customer_request import PostalAddressAnswer


def document_of(
    subject: Subject, sender: Sender, title: str, blocks: tuple[Block, ...]
) -> Document:
    """A document about a quote, with the head of its sender and the versions in its last line."""
    words, answer = sender.words, subject.answer
    return Document(
        title=title,
        subtitle=answer.title if isinstance(answer.title, str) else "",
        language=sender.language,
        paper=sender.paper,
        blocks=blocks,
        page_words=(words.say("page"), words.say("of")),
        letterhead=sender.letterhead,
        footer=" · ".join(part for part in (title, subject.number) if part),
        last_line=words.say(
            "Quote {digest}, engine {engine}, catalog {catalog}",
            digest=answer.digest[:16],
            engine=answer.engine_version,
            catalog=answer.catalog_version[:16],
        ),
    )


def address_lines(address: PostalAddressAnswer) -> list[str]:
    """An address as it is written on paper: street, then place."""
    if isinstance(address.lines, tuple):
        return list(address.lines)
    city = " ".join(
        part
        for part in (address.postal_zone, address.city_name, address.country_subentity)
        if isinstance(part, str)
    )
    parts = (address.street_name, address.additional_street_name, city, address.country)
    return [part for part in parts if isinstance(part, str) and part]


def site_line(subject: Subject) -> str:
    """Where the work is done, in one line; empty where nobody said."""
    site = subject.customer.site_address if subject.customer else None
    return ", ".join(address_lines(site)) if isinstance(site, PostalAddressAnswer) else ""
