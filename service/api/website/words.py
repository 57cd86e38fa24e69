"""What the form says of itself, on its page and in its script: one list for both, by language."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import get_args

from service.documents.tree import Language

Say = Callable[[str], str]
LANGUAGES: tuple[Language, ...] = get_args(Language)
# What is filled in where the word is said.
_FIGURES = ("example", "below", "above", "reference", "minutes", "told", "length", "height")


def words_by_name(language: Language) -> dict[str, str]:
    """Each word of the form in a language. Figures stand in braces."""
    # What makes and reads translations is loaded by the first page.
    from service.documents.words import words_of  # noqa: PLC0415

    marks = {name: f"{{{name}}}" for name in _FIGURES}
    said = partial(words_of(language).say, **marks)
    return {
        **_of_the_form(said),
        **_of_the_answer(said),
        **_of_trouble(said),
        **_of_the_sketch(said),
    }


def _of_the_form(say: Say) -> dict[str, str]:
    return {
        "title": say("What would a retaining wall cost?"),
        "about": say("A few questions about the wall; the answer is a price range, not an offer."),
        "optional": say("optional"),
        "choose": say("Choose"),
        "lead": say("Leave an address or a number"),
        "lead_about": say("Fill this in only if you want to hear from us."),
        "trap": say("Leave this field empty"),
        "send": say("Show the price range"),
        "sending": say("Working it out"),
        "example": say("For example: {example}"),
        "other": say("En español"),
    }


def _of_the_answer(say: Say) -> dict[str, str]:
    return {
        "range": say("The wall would cost about"),
        "between": say("{below} to {above}"),
        "rests_on": say("What this rests on"),
        "not_included": say("Not included"),
        "cautions": say("Please note"),
        "reference": say("We have your request. Its number is {reference}."),
        "visit": say("We need to see it"),
        "visit_about": say("No range can be told from the answers alone:"),
    }


def _of_trouble(say: Say) -> dict[str, str]:
    return {
        "faults": say("Please look at these answers again"),
        "missing": say("Please answer this."),
        "unreadable": say("We can't use this answer: please see what stands above it."),
        "consent": say("Without your consent we keep nothing: tick this, or leave the rest empty."),
        "no_answer": say(
            "No answer came. What you typed is still here: please try again in a few minutes."
        ),
        "too_many": say(
            "Too many prices were asked for. What you typed is still here: please try again in "
            "{minutes} minutes."
        ),
        "changed": say(
            "The questions have changed meanwhile. Please look your answers over and send them "
            "again."
        ),
        "not_here": say("The form can't be shown right now."),
        "again": say("Try again"),
    }


def _of_the_sketch(say: Say) -> dict[str, str]:
    return {
        "sketch": say("Sketch of the wall: {told}"),
        "no_scale": say("A sketch, not to scale"),
        "long": say("length {length}"),
        "high": say("height {height}"),
        "unit_ft": say("ft"),
        "unit_in": say("in"),
        "unit_m": say("m"),
        "unit_cm": say("cm"),
    }
