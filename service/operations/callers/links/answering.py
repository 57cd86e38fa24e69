"""A customer's answer by a link: a yes with a name and a sentence, or a no; once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from service.catalog import Catalog
from service.documents.shown import AGREES, NAME, FieldError
from service.documents.words import words_of
from service.operations.callers.links.assent import mark_of, sentence_of
from service.operations.callers.links.calendar import Calendar
from service.operations.callers.links.fixed import Assent
from service.operations.callers.links.showing import BY_LINK, Opened, open_link
from service.operations.callers.links.told import tell_move
from service.operations.saved.quote_moves import Wanted, move_known
from service.storage import Connection
from service.storage.acceptances import Acceptance, put_acceptance
from service.storage.links import mark_answered
from service.storage.quote_moves import MoveWords

LONGEST_NAME = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What came with the form: a no, or a yes with the name that was typed, whether the sentence
    was ticked, and the mark of the sentence that was shown."""

    answer: Literal["accept", "decline"]
    name: str = ""
    agrees: bool = False
    mark: str = ""


class AnsweredError(Exception):
    """The quote can't be answered by this link: it was answered before, or it never could."""

    def __init__(self, opened: Opened) -> None:
        self.opened = opened
        super().__init__(opened.state)


class AnswerFaultsError(Exception):
    """A yes that isn't whole: the form is shown once more."""

    def __init__(self, opened: Opened, said: Said, errors: tuple[FieldError, ...]) -> None:
        self.opened = opened
        self.said = said
        self.errors = errors
        super().__init__(len(errors))


def answer_link(
    connection: Connection,
    secret: str,
    said: Said,
    calendar: Calendar,
    now: int,
    catalog: Catalog,
) -> None:
    """Bring the quote into the state that the customer says, and keep what was agreed to.

    Raises LinkClosedError, AnsweredError, AnswerFaultsError, and QuoteExpiredError where the
    prices of the revision held until an earlier day than the link.
    """
    opened = open_link(connection, secret, now, lock=True)
    assent = opened.content.assent
    if not opened.can_be_answered or assent is None:
        raise AnsweredError(opened)
    day = calendar.day(now)
    if said.answer == "decline":
        _move(connection, opened, "declined", (day, now), catalog)
        return
    sentence = sentence_of(assent, opened.content.language, day)
    errors = tuple(_errors(said, sentence, opened))
    if errors:
        raise AnswerFaultsError(opened, said, errors)
    put_acceptance(connection, _acceptance(opened, assent, said.name, sentence, now))
    _move(connection, opened, "accepted", (day, now), catalog)


def _move(
    connection: Connection,
    opened: Opened,
    target: Literal["accepted", "declined"],
    at: tuple[date, int],
    catalog: Catalog,
) -> None:
    day, now = at
    wanted = Wanted(target=target, words=MoveWords(on=day))
    moved = move_known(connection, opened.quote, wanted, now, catalog)
    mark_answered(connection, opened.link.id, target, now)
    tell_move(connection, opened.link, moved, by=BY_LINK, now=now)


def _errors(said: Said, sentence: str, opened: Opened) -> list[FieldError]:
    words = words_of(opened.content.language)
    errors = []
    if not any(letter.isalpha() for letter in said.name):
        errors.append(FieldError(field=NAME, text=words.say("Type your full name.")))
    if len(said.name) > LONGEST_NAME:
        text = words.say("A name has at most 200 characters.")
        errors.append(FieldError(field=NAME, text=text))
    if not said.agrees:
        errors.append(FieldError(field=AGREES, text=words.say("Tick that you agree.")))
    elif said.mark != mark_of(sentence):
        text = words.say(
            "The sentence reads otherwise than when this page was opened: read it once more, and "
            "tick it."
        )
        errors.append(FieldError(field=AGREES, text=text))
    return errors


def _acceptance(opened: Opened, assent: Assent, name: str, sentence: str, now: int) -> Acceptance:
    return Acceptance(
        link_id=opened.link.id,
        quote_id=opened.link.quote_id,
        revision=opened.link.revision,
        name=name,
        sentence=sentence,
        content_digest=opened.digest,
        total=assent.total,
        currency=assent.currency,
        accepted_at=now,
    )
