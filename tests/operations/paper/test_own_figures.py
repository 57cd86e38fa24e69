"""The job's own figures behind a caution, in Spanish."""

from __future__ import annotations

import re
from typing import get_args

import pytest

from service.core.cautions.facts import UNIT_NAMES
from service.core.cautions.place_facts import MONTHS
from service.core.job.handling import DUST_TOOL_TITLES
from service.core.job.site import PrivateLine
from service.core.screening.check_table import CHECK_TABLE
from service.documents.words import words_of
from service.operations.paper.heeded import caution_sentences
from service.operations.paper.own_figures import PHRASES, SENTENCES, in_language
from tests.given.papers import EXAMPLES, shipped, subject_of

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ES = words_of("es")
WALLS = ("lower tier", "upper tier")
REFUSED = ("price_missing", "ten_mistakes")


@pytest.mark.parametrize("message", SENTENCES)
def test_sentences_keep_their_figures(message: str) -> None:
    """Each sentence is known by its words, alone, behind a wall's name and behind another one; its
    figures stand in the translation as they stood."""
    names = re.findall(r"\{([a-z]+)\}", message)
    figures = {name: f"{number + 3}.25 xq" for number, name in enumerate(names)}
    english, spanish = message.format(**figures), ES.say(message, **figures)
    assert spanish != english or message == "{tool}: {control}."
    assert in_language(english, WALLS, ES) == spanish
    both = f"lower tier: {english} upper tier: {english}"
    assert in_language(both, WALLS, ES) == f"lower tier: {spanish} upper tier: {spanish}"
    first = "Up to 5 courses. "
    assert in_language(first + english, WALLS, ES) == f"Hasta 5 hiladas. {spanish}"


@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        (
            "From bottom of trench to top of cut 4.17 ft at station 35.31 ft.",
            "Del fondo de la zanja a lo alto del corte: 4.17 ft en la estación 35.31 ft.",
        ),
        (
            "Too little: sliding on the base, overturning.",
            "No alcanza: deslizamiento sobre la base, vuelco.",
        ),
        ("Under the pad: clay.", "Bajo la base: arcilla."),
        (
            "What counts: Driveway, 3 ft behind the face; the stated surcharge.",
            "Lo que cuenta: Entrada de autos, a 3 ft detrás de la cara; la sobrecarga indicada.",
        ),
        ("Nobody knows this sentence.", "Nobody knows this sentence."),
        ("Up to 5 courses. Nobody knows this one.", "Hasta 5 hiladas. Nobody knows this one."),
        ("", ""),
    ],
)
def test_in_language_says_it_as_people_do(english: str, spanish: str) -> None:
    """Whole sentences by hand; a sentence that is not known stays, with what follows it."""
    assert in_language(english, WALLS, ES) == spanish
    assert in_language(english, WALLS, words_of("en")) == english


def test_phrases_hold_the_words_of_the_core() -> None:
    """Checks, tools, units, months and lines that a sentence can name are among the phrases."""
    lines = {line.replace("_", " ") for line in get_args(PrivateLine)}
    checks = {row.words for row in CHECK_TABLE.values()}
    tools = set(DUST_TOOL_TITLES.values())
    controls = {
        asked.control
        for place in shipped().jurisdictions.values()
        for asked in place.core.dust.values()
    }
    assert lines | checks | tools | controls | set(UNIT_NAMES) | set(MONTHS) <= set(PHRASES)


def test_cautions_of_the_examples_are_spanish_throughout() -> None:
    """Behind no caution of an example's paper does an English sentence stand."""
    english_words = re.compile(r"\b(the|at station|behind|under|than|from|and|weighs|stands)\b")
    names = {file.name.split(".")[0] for file in EXAMPLES.glob("*.request.json")} - {*REFUSED}
    for example in sorted(names):
        subject = subject_of(example)
        walls = "|".join(re.escape(wall.name) for wall in subject.answer.walls)
        for sentence in caution_sentences(subject, "crew", words_of("es", subject.answer.units)):
            assert not english_words.search(re.sub(walls, "", sentence)), sentence
