"""Plain pages of links: a receipt, and that there is nothing to see or to answer."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from service.documents.forms.html import Page
from service.documents.forms.shown_page import shown_page
from service.documents.kept_tree import tree_of
from service.documents.shown import Around, Way
from service.documents.tree import Block, Document, Facts, Language, Letterhead, Paragraph
from service.documents.words import Words, msgid, words_of
from service.operations.callers.links.calendar import Calendar
from service.operations.callers.links.pages import PDF, RECEIPT, record_text
from service.operations.callers.links.showing import Opened, Why
from service.storage.acceptances import Acceptance

_ASK = msgid("Ask whoever sent it to you for a new one.")
_CLOSED: Mapping[Why, tuple[str, tuple[str, ...]]] = MappingProxyType(
    {
        "unknown": (
            msgid("There is nothing here"),
            (msgid("No paper has this address. See that it was copied whole."),),
        ),
        "ended": (msgid("This link was closed"), (_ASK,)),
        "expired": (msgid("This link has run out"), (_ASK,)),
        "overtaken": (
            msgid("This paper is no longer in force"),
            (msgid("Another one has taken its place, or it was withdrawn."), _ASK),
        ),
    }
)


def closed_page(why: Why, language: Language) -> Page:
    """Why nothing is shown."""
    words = words_of(language)
    title, sentences = _CLOSED[why]
    blocks = tuple(Paragraph(text=words.say(sentence)) for sentence in sentences)
    return shown_page(_plain(words.say(title), words, blocks), Around())


def answered_page(opened: Opened, secret: str) -> Page:
    """That a quote can't be answered, or not any more."""
    words = words_of(opened.content.language)
    sentences = {
        "accepted": words.say("It was accepted. Nothing was changed now."),
        "declined": words.say("It was declined. Nothing was changed now."),
    }
    text = sentences.get(opened.state, words.say("It can be read, not answered."))
    title = words.say("This paper takes no answer now")
    ways = [Way(text=words.say("Back to the paper"), address=secret)]
    if opened.acceptance is not None:
        address = f"{secret}/{RECEIPT}"
        ways.insert(0, Way(text=words.say("Your receipt"), address=address))
    around = Around(ways=tuple(ways), ways_name=words.say("From here"))
    return shown_page(_plain(title, words, (Paragraph(text=text),)), around)


def receipt_page(opened: Opened, said: Acceptance, secret: str, calendar: Calendar) -> Page:
    """What a customer said yes to, and when."""
    words = words_of(opened.content.language)
    moment = said.accepted_at
    rows = (
        (words.say("Name"), said.name or ""),
        (
            words.say("Accepted on"),
            f"{words.day(calendar.day(moment).isoformat())}, {calendar.clock(moment)}",
        ),
        (words.say("SHA-256 of what was shown"), said.content_digest),
        (words.say("SHA-256 of its PDF"), opened.content.pdf_sha256),
    )
    until = words.say(
        "This page can be read until {day}. Keep a copy of it and of the PDF.",
        day=words.day(calendar.day(opened.link.expires_at - 1).isoformat()),
    )
    blocks = (
        Paragraph(text=said.sentence, tone="lead"),
        Facts(rows=rows),
        Paragraph(text=record_text(words), tone="small"),
        Paragraph(text=until, tone="small"),
    )
    ways = (
        Way(text=words.say("Back to the paper"), address=f"../{secret}"),
        Way(text=words.say("This paper as PDF"), address=PDF),
    )
    around = Around(ways=ways, ways_name=words.say("From here"))
    head = tree_of(opened.content.tree).letterhead
    return shown_page(_plain(words.say("Receipt"), words, blocks, head), around)


def _plain(
    title: str, words: Words, blocks: tuple[Block, ...], head: Letterhead | None = None
) -> Document:
    return Document(
        title=title,
        language=words.language,
        paper="letter",
        blocks=blocks,
        page_words=("", ""),
        letterhead=head,
    )
