"""One page of questions for a visit to the site, in the order in which one walks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.documents.tree import Blanks, Block, Bullets, Column, Document, Heading, Row, Table
from service.documents.words import Words
from service.operations.paper.heeded import Assumed, assumption_sentences
from service.operations.paper.subject import PricedSubject, Sender, Subject
from service.operations.quoting.what_if.worth import dearest_first

MOST_STATIONS = 30
# As many rows of the levels as stay on the page.
MOST_DEAREST = 5


def visit_sheet(
    sender: Sender, stations: int, units: str, subject: Subject | None = None
) -> Document:
    """The sheet for a wall with so many stations; of a quote, what it takes for granted first."""
    words = sender.words
    blocks = (
        *_first_questions(subject, words),
        Heading(text=words.say("Before you get out")),
        Blanks(rows=tuple(_arriving(units, words))),
        Heading(text=words.say("Along the wall")),
        _levels(stations, units, words),
        Blanks(rows=tuple(_along(units, words))),
        Heading(text=words.say("Behind and in front")),
        Blanks(rows=tuple(_around(units, words))),
        Heading(text=words.say("What was seen")),
        Bullets(items=tuple(_seen(words)), marks="boxes"),
    )
    return Document(
        title=words.say("Visit sheet"),
        subtitle=str(subject.answer.title) if subject and subject.answer.title else "",
        language=sender.language,
        paper=sender.paper,
        blocks=blocks,
        page_words=(words.say("page"), words.say("of")),
        footer=words.say("Visit sheet"),
    )


def _first_questions(subject: Subject | None, words: Words) -> Iterator[Block]:
    """What the quote takes for granted, to be settled on site: the dearest first, where it was
    asked what each is worth."""
    if subject is None:
        return
    order: Iterable[Assumed] = subject.answer.assumptions
    if isinstance(subject, PricedSubject):
        assumptions = subject.answer.assumptions
        order = (*dearest_first(assumptions), *(a for a in assumptions if not a.if_instead))
    sentences = dict.fromkeys(assumption_sentences(subject, words, order))
    assumed = tuple(sentences)[:MOST_DEAREST]
    if assumed:
        yield Heading(text=words.say("Settle first: is it so?"))
        yield Bullets(items=assumed, marks="boxes")


def _arriving(units: str, words: Words) -> Iterator[tuple[str, str]]:
    short = "in" if units == "us" else "cm"
    long = "ft" if units == "us" else "m"
    yield words.say("Name, way to reach"), ""
    yield words.say("Site address"), ""
    yield words.say("Narrowest place on the way in"), short
    yield words.say("Steps or a steep stretch on the way"), ""
    yield words.say("Way from the street to the wall"), long
    yield words.say("Where trucks drop: street, drive, at the wall"), ""
    yield words.say("Overhead lines, private lines, septic, easement"), ""


def _levels(stations: int, units: str, words: Words) -> Table:
    unit = "ft" if units == "us" else "m"
    titles = (
        words.say("Station"),
        words.say("Top wanted"),
        words.say("Ground in front, finished"),
        words.say("Ground behind, finished"),
        words.say("Ground now, at the line"),
        words.say("Ground now, uphill: how far, level"),
    )
    rows = (Row(cells=(str(number), *("",) * 5)) for number in range(1, stations + 1))
    return Table(
        caption=words.say(
            "Stations from left to right as seen from the low side, in {unit}", unit=unit
        ),
        columns=tuple(Column(title=title) for title in titles),
        rows=tuple(rows),
    )


def _along(units: str, words: Words) -> Iterator[tuple[str, str]]:
    long = "ft" if units == "us" else "m"
    yield words.say("Levels are elevations, or rod readings"), ""
    yield words.say("Straight lengths, in order"), long
    yield words.say("Curves: chord and middle ordinate, inside or outside"), long
    yield words.say("Corners: angle, inside or outside"), ""
    yield words.say("Ends: open, into the grade, against what"), ""
    yield words.say("Block wanted, color"), ""


def _around(units: str, words: Words) -> Iterator[tuple[str, str]]:
    long = "ft" if units == "us" else "m"
    yield words.say("Soil from a hand-dug hole: sand, silt, clay, fill"), ""
    yield words.say("Slope behind and in front, run for one of rise"), ""
    yield words.say("What stands or drives behind, how far from the face"), long
    yield words.say("Where the drain's water can go, how far"), long
    yield words.say("Downspouts above, number"), ""
    yield words.say("What comes down first: fence, posts, hedge, old wall"), ""
    yield words.say("What goes on last: topsoil, sod, how much"), ""
    yield words.say("Property line, how far"), long


def _seen(words: Words) -> Iterator[str]:
    yield words.say("Standing water, wet ground, a spring")
    yield words.say("Runoff toward the wall, a washout")
    yield words.say("Cracks, something leaning, signs of a slide")
    yield words.say("Fill, rock, stumps, an old wall")
