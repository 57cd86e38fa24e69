"""Answers to a form, read strictly: estimates to their step, choices by their ids."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, cast

from service.catalog.documents.website import Estimated, Website
from service.catalog.documents.website_choice import Choice
from service.core import rounding
from service.core.errors import Fault, QuoteFaultsError
from service.core.near_words import NearWords
from service.operations.callers.website.form import DECIMAL, POSTAL_CODE, default_of, is_required
from service.operations.callers.website.questions import QUESTIONS, Field, estimated_of
from service.units import found

ANSWERS: Final = "answers"
_POSTAL_EXAMPLE: Final = "00000"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """What a visitor answered: estimates as they are read, and what he chose. `given` are his
    own words, with what was taken where he said nothing."""

    length: Decimal
    height: Decimal
    chosen: Mapping[str, Choice]
    given: Mapping[str, str]


def read_answers(site: Website, document: Mapping[str, str]) -> Answered:
    """The answers to a website's form; an empty text is no answer.

    Raises QuoteFaultsError with every fault, below `answers`.
    """
    said = {name: value for name, value in document.items() if value.strip()}
    faults = [*_unknown(said), *_missing(site, said), *_unsound(site, said)]
    if faults:
        raise QuoteFaultsError(faults)
    given: dict[str, str] = {name: default_of(name, site) for name in QUESTIONS}
    given.update(said)
    return Answered(
        length=_step(given["length"], site.length),
        height=_step(given["height"], site.height),
        chosen={
            name: choice
            for name, choices in site.questions.items()
            for choice in choices
            if choice.id == given[name]
        },
        given={name: given[name] for name in QUESTIONS if given[name]},
    )


def _unknown(said: Mapping[str, str]) -> Iterator[Fault]:
    words = NearWords()
    for name in said:
        if name not in QUESTIONS:
            near = words.nearest(name, tuple(QUESTIONS))
            yield Fault(
                code="unknown-key",
                at=(ANSWERS, name[:64]),
                message=f"{found(name)} is no question of the form",
                hint=f'did you mean "{near}"?' if near else None,
            )


def _missing(site: Website, said: Mapping[str, str]) -> Iterator[Fault]:
    for name in QUESTIONS:
        if name not in said and is_required(name, site):
            yield Fault(
                code="field-missing",
                at=(ANSWERS, name),
                message=f"{name}: is required",
                hint=_right(name, site),
            )


def _unsound(site: Website, said: Mapping[str, str]) -> Iterator[Fault]:
    for name, value in said.items():
        if name in QUESTIONS and (fault := _fault(cast("Field", name), value, site)):
            yield fault


def _fault(name: Field, value: str, site: Website) -> Fault | None:
    """What is wrong with an answer, if anything is."""
    estimated = estimated_of(name, site)
    if estimated is not None:
        wrong = _wrong_estimate(value, estimated)
    elif name == "postal_code":
        sound = re.fullmatch(POSTAL_CODE, value, re.ASCII)
        wrong = None if sound else ("text-invalid", "is no postal code")
    else:
        known = value in {choice.id for choice in site.questions[name]}
        wrong = None if known else ("unknown-choice", "is none of its choices")
    if wrong is None:
        return None
    message = f"{name}: {found(value)} {wrong[1]}"
    return Fault(code=wrong[0], at=(ANSWERS, name), message=message, hint=_right(name, site))


def _wrong_estimate(value: str, estimated: Estimated) -> tuple[str, str] | None:
    """The code and the words for an estimate that can't be taken."""
    if not re.fullmatch(DECIMAL, value, re.ASCII):
        return "decimal-invalid", "is no decimal"
    if estimated.least <= Decimal(value) <= estimated.most:
        return None
    return "out-of-range", f"is not from {estimated.least} to {estimated.most} {estimated.unit}"


def _right(name: Field, site: Website) -> str:
    """What would be right."""
    if (estimated := estimated_of(name, site)) is not None:
        return f'a decimal in {estimated.unit}, such as "{estimated.least}"'
    if name == "postal_code":
        return f'such as "{_POSTAL_EXAMPLE}"'
    return "one of: " + ", ".join(choice.id for choice in site.questions[name])


def _step(value: str, estimated: Estimated) -> Decimal:
    """An estimate to the nearest step, halves up."""
    return rounding.to_step(Decimal(value), estimated.nearest)
