"""Which cautions and assumptions stand on whose paper, in that paper's language."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Literal

from service.core.cautions.stated import stated
from service.core.job.jurisdiction import Trigger
from service.documents.words import Words, msgid
from service.operations.field.answer import FieldAssumptionAnswer
from service.operations.field.of_money import ABOUT_PRICES
from service.operations.paper.own_figures import in_language
from service.operations.paper.subject import Subject
from service.operations.quoting.answer import AssumptionAnswer, CautionAnswer
from service.operations.quoting.sentences import for_reading

Reader = Literal["customer", "crew"]
Assumed = AssumptionAnswer | FieldAssumptionAnswer
# What only whoever digs and lays reads. What only whoever prices reads is for neither here.
_CREW: frozenset[Trigger] = frozenset(
    {
        "trench_depth", "open_cut", "unit_weight", "lifting_index", "pallets_too_heavy",
        "course_count", "classed_cut_depth", "cut_not_sloped", "dust", "plan_too_tight",
        "pad_without_fabric", "class_a_soil", "two_rule_books", "layer_cover",
        "trench_open_too_long", "base_step_near_end",
    }
)  # fmt: skip


def caution_sentences(
    subject: Subject, reader: Reader, words: Words, *, figures: bool = True
) -> Iterator[str]:
    """The cautions for a reader, those for every job last; each once. Of words for every job a
    customer reads the weightiest alone. `figures`: with those of the job itself."""
    rules = {rule.code: rule for rule in subject.quote.job.jurisdiction.cautions}
    answer, seen = subject.answer, set[str]()
    for caution in (*answer.cautions, *answer.always):
        rule = rules.get(caution.code)
        trigger: Trigger = rule.trigger if rule else "always"
        hidden = ABOUT_PRICES if reader == "crew" else ABOUT_PRICES | _CREW
        crew_only = trigger == "always" and caution.severity != "high"
        if trigger in hidden or (reader == "customer" and crew_only):
            continue
        text = _said(caution, subject, words, figures=figures)
        if text not in seen:
            seen.add(text)
            yield text


def _said(caution: CautionAnswer, subject: Subject, words: Words, *, figures: bool) -> str:
    """A caution in the document's language, with its walls and, where they are told, the job's
    own figures behind it; words of a place that are not those of today stay as they were
    answered."""
    text, job = caution.text, subject.quote.job
    for rule in job.jurisdiction.cautions:
        english = for_reading(stated(rule.text, job.units))
        if rule.code == caution.code and text.startswith(english):
            told = for_reading(stated(words.say_data(rule.text), job.units))
            names = [wall.name for wall in subject.answer.walls]
            own = in_language(text.removeprefix(english), names, words) if figures else ""
            text = f"{told} {own}".rstrip()
    walls = caution.walls if isinstance(caution.walls, tuple) else ()
    if not walls or len(walls) == len(subject.answer.walls):
        return text
    return words.say("{walls}: {text}", walls=", ".join(walls), text=text)


_SOILS = {
    "retained": msgid("The soil behind the wall is taken to be {soil}."),
    "foundation": msgid("The soil under the wall is taken to be {soil}."),
    "fill": msgid("What is filled behind the wall is taken to be {soil}."),
}
_OF_WALLS = {
    "back_slope": msgid("{wall}: the ground behind is taken to be level."),
    "front_slope": msgid("{wall}: the ground in front is taken to be level."),
    "surcharge": msgid(
        "{wall}: nothing is taken to stand, drive or be stored on the ground behind."
    ),
    "ends/start": msgid("{wall}: its start is taken to end open, without a return."),
    "ends/finish": msgid("{wall}: its far end is taken to end open, without a return."),
    "profile/back_grade": msgid("{wall}: the ground behind is taken to meet the top of the wall."),
}
_OF_WALL = re.compile(r"/walls/([0-9]+)/(.+)", re.ASCII)


def assumption_sentences(
    subject: Subject, words: Words, order: Iterable[Assumed] | None = None
) -> Iterator[str]:
    """What the price takes for granted about the place, for whoever knows it better; in another
    order where one is given."""
    for assumption in subject.answer.assumptions if order is None else order:
        place = assumption.field.removeprefix("/soils/")
        if place in _SOILS and assumption.value in subject.catalog.soils:
            soil = subject.catalog.soils[assumption.value].core.title
            yield words.say(_SOILS[place], soil=words.say_data(soil))
        found = _OF_WALL.fullmatch(assumption.field)
        if found and found[2] in _OF_WALLS:
            wall = subject.answer.walls[int(found[1])].name
            yield words.say(_OF_WALLS[found[2]], wall=wall)
