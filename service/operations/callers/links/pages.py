"""The page of a link: the paper as it was fixed, and around it where to go and what to answer.

Addresses are told from the page itself, so that a path in front of the service stays.
"""

from __future__ import annotations

from collections.abc import Iterator

from service.documents.forms.html import Page
from service.documents.forms.shown_page import shown_page
from service.documents.kept_tree import tree_of
from service.documents.shown import AnswerForm, Around, Way
from service.documents.words import Words, words_of
from service.operations.callers.links.answering import AnswerFaultsError
from service.operations.callers.links.assent import mark_of, sentence_of
from service.operations.callers.links.calendar import Calendar
from service.operations.callers.links.fixed import Assent
from service.operations.callers.links.making import CUSTOMERS
from service.operations.callers.links.showing import Opened

PDF = "paper.pdf"
RECEIPT = "receipt"


def paper_page(
    opened: Opened,
    secret: str,
    calendar: Calendar,
    now: int,
    faults: AnswerFaultsError | None = None,
) -> Page:
    """The paper with what stands around it; a form that came with faults is shown with them."""
    content = opened.content
    words = words_of(content.language)
    form = None
    if opened.can_be_answered and content.assent is not None:
        sentence = sentence_of(content.assent, content.language, calendar.day(now))
        form = _form(content.assent, words, (secret, sentence), faults)
    around = Around(
        ways=tuple(_ways(opened, secret, words)),
        ways_name=words.say("On this page"),
        note=_note(opened, calendar, words),
        form=form,
    )
    return shown_page(tree_of(content.tree), around)


def record_text(words: Words) -> str:
    """What a yes is, and what it isn't."""
    return words.say(
        "This puts on record that you agree: your name, the moment, the sentence above and a "
        "digest of this paper. Whether it makes a contract, and from when, is for the law of the "
        "place, which may ask for more than this."
    )


def _ways(opened: Opened, secret: str, words: Words) -> Iterator[Way]:
    if opened.can_be_answered:
        yield Way(text=words.say("Answer this quote"), address="#answer")
    if opened.acceptance is not None:
        yield Way(text=words.say("Your receipt"), address=f"{secret}/{RECEIPT}")
    yield Way(text=words.say("This paper as PDF"), address=f"{secret}/{PDF}")


def _note(opened: Opened, calendar: Calendar, words: Words) -> str:
    """What became of a quote that can't be answered any more."""
    link = opened.link
    if link.kind != CUSTOMERS or opened.state not in ("accepted", "declined"):
        return ""
    if link.answered_at is None:
        if opened.state == "accepted":
            return words.say("This quote has been accepted.")
        return words.say("This quote has been declined.")
    day = words.day(calendar.day(link.answered_at).isoformat())
    if opened.state == "accepted":
        return words.say("You accepted this quote on {day}.", day=day)
    return words.say("You declined this quote on {day}.", day=day)


def _form(
    assent: Assent,
    words: Words,
    said: tuple[str, str],
    faults: AnswerFaultsError | None,
) -> AnswerForm:
    secret, sentence = said
    return AnswerForm(
        address=secret,
        heading=words.say("Your answer"),
        name_label=words.say("Your full name"),
        sentence=sentence,
        mark=mark_of(sentence),
        record=record_text(words),
        accept=words.say("Accept this quote"),
        decline_heading=words.say("Decline this quote"),
        decline_text=words.say(
            "This tells {company} that you don't want the work as it is quoted here. It can't be "
            "taken back on this page.",
            company=assent.company,
        ),
        decline=words.say("Yes, decline"),
        errors_heading=words.say("Your answer isn't given yet"),
        typed=faults.said.name if faults else "",
        errors=faults.errors if faults else (),
    )
