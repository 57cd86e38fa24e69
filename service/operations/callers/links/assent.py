"""The sentence that a customer ticks: what it costs, what is paid first, and until when a yes may
be taken back."""

from __future__ import annotations

import hashlib
from datetime import date
from decimal import Decimal

from service.documents.tree import Language
from service.documents.words import Words, words_of
from service.operations.callers.links.fixed import Assent
from service.operations.paper.last_day import last_day_to_cancel


def sentence_of(assent: Assent, language: Language, day: date) -> str:
    """The sentence as it reads on a day: the last day to cancel is counted from there."""
    words = words_of(language, assent.units)
    last = last_day_to_cancel(day, assent.rules)
    if last is None:
        return _agreed(assent, words)
    may_cancel = words.say(
        "By the rules of this place I may cancel, without giving a reason, until midnight of "
        "{day}.",
        day=words.day(last.isoformat()),
    )
    return f"{_agreed(assent, words)} {may_cancel}"


def mark_of(sentence: str) -> str:
    """By what a form names the sentence that it showed: SHA-256."""
    return hashlib.sha256(sentence.encode()).hexdigest()


def _agreed(assent: Assent, words: Words) -> str:
    total = words.money(assent.total, assent.currency)
    if not Decimal(assent.deposit):
        return words.say(
            "I accept quote {number} of {company}: the total is {total}, and no deposit is asked.",
            number=assent.number,
            company=assent.company,
            total=total,
        )
    return words.say(
        "I accept quote {number} of {company}: the total is {total}, {deposit} of it as a deposit.",
        number=assent.number,
        company=assent.company,
        total=total,
        deposit=words.money(assent.deposit, assent.currency),
    )
