"""What a range says beside its figures, in the visitor's words and language: never a cost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from service.catalog.documents import Company
from service.catalog.documents.website import Website
from service.core.measure import number
from service.core.would_pass.alternative import ChangeName
from service.documents.words import Words, msgid
from service.operations.callers.website.answers import Answered
from service.operations.callers.website.questions import QUESTIONS, unit_said
from service.operations.callers.website.range_answer import Reason, ReasonAnswer
from service.operations.paper.heeded import caution_sentences
from service.operations.paper.included import left_out
from service.operations.paper.subject import PricedSubject

_WHY: Final[dict[Reason, str]] = {
    "near_building": msgid(
        "A building stands above the wall: what its footing brings to the wall has to be looked at."
    ),
    "near_pool": msgid(
        "A pool lies above the wall: its weight and its water have to be looked at."
    ),
    "old_wall_leans": msgid(
        "The old wall leans, bulges or is cracked: stay away from both of its sides until somebody "
        "has looked at it."
    ),
    "water_seen": msgid(
        "Water stands there or comes out of the bank: where it comes from and where it can go has "
        "to be found out first."
    ),
    "steep_in_front": msgid(
        "The ground falls steeply in front of the wall: whether the whole slope holds has to be "
        "looked at."
    ),
    "steep_behind": msgid(
        "The ground rises steeply behind the wall: whether the whole slope holds has to be looked "
        "at."
    ),
    "narrow_way_in": msgid(
        "The way in is narrow: how blocks, stone and soil get through has to be looked at."
    ),
    "over_engineer_threshold": msgid(
        "The wall shows more than {height} {unit}: that takes an engineer's design, and in most "
        "places a permit."
    ),
    "does_not_pass": msgid(
        "By a first look such a wall does not stand as a plain stack of blocks: what it takes has "
        "to be worked out."
    ),
    "engineer_needed": msgid(
        "Such a wall is one for a licensed engineer to look at before a price is given."
    ),
    "not_priced": msgid("Such a wall can't be priced before somebody has seen the place."),
}
_CHANGED: Final[dict[ChangeName, str]] = {
    "soil_below_cap": msgid("The soil behind the wall ends at the underside of its cap."),
    "better_fill": msgid("Better fill than the soil of the place is brought in behind the wall."),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Sentences for a visitor."""

    rests_on: tuple[str, ...]
    not_included: tuple[str, ...]
    cautions: tuple[str, ...]


def told(
    subject: PricedSubject,
    site: Website,
    answered: Answered,
    changes: Sequence[ChangeName],
    words: Words,
) -> Told:
    """What the range of a quote rests on, what it leaves out, and its cautions."""
    company: Company = subject.catalog.companies[site.company].core
    return Told(
        rests_on=tuple(_rests_on(subject, site, answered, changes, words)),
        not_included=tuple(dict.fromkeys(left_out(subject, company, words, goods=False))),
        cautions=tuple(caution_sentences(subject, "customer", words, figures=False)),
    )


def reason_answer(reason: Reason, site: Website, words: Words) -> ReasonAnswer:
    """Why somebody has to come."""
    unit = unit_said(site.height.unit, words)
    text = words.say(_WHY[reason], height=number(site.engineer_over), unit=unit)
    return ReasonAnswer(code=reason, text=text)


def _rests_on(
    subject: PricedSubject,
    site: Website,
    answered: Answered,
    changes: Sequence[ChangeName],
    words: Words,
) -> Iterator[str]:
    job = subject.quote.job
    yield words.say(
        "The wall is about {length} {long} long and shows up to {height} {high}.",
        length=number(answered.length),
        long=unit_said(site.length.unit, words),
        height=number(answered.height),
        high=unit_said(site.height.unit, words),
    )
    for name, choice in answered.chosen.items():
        if name != "when":
            title = choice.title[words.language]
            yield f"{words.say(QUESTIONS[name].short)}: {title}."  # type: ignore[index]
    yield words.say(
        "It is a dry-stacked wall of blocks ({system}), set through the bank that is there today.",
        system=words.say_data(job.system.title),
    )
    if job.soils.retained:
        soil = words.say_data(job.soils.retained.title)
        yield words.say("The soil behind the wall is taken to be {soil}.", soil=soil)
    for change in changes:
        yield words.say(_CHANGED[change])
    yield words.say("Nobody has seen the place yet: a price that holds is made after a visit.")
