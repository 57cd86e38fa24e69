"""What a website asks: the questions in their order, and how each is said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from service.catalog.documents.website import Estimated, LengthUnit, Website
from service.documents.words import Words, msgid

Field = Literal[
    "length",
    "height",
    "line",
    "behind",
    "in_front",
    "above",
    "now",
    "way_in",
    "water",
    "postal_code",
    "when",
]
Group = Literal["wall", "place", "plans"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A question as people read it: whole, explained, and in a word or two before an answer.
    `default` is taken where it isn't answered; without one and not `optional` it has to be."""

    group: Group
    title: str
    description: str
    short: str
    default: str = ""
    optional: bool = False


QUESTIONS: Final[Mapping[Field, Asked]] = {
    "length": Asked(
        group="wall",
        title=msgid("About how long will the wall be, in {unit}?"),
        description=msgid(
            "Along its face, from {least} to {most} {unit}. A guess will do: it is taken to the "
            "nearest {nearest}."
        ),
        short=msgid("Length"),
    ),
    "height": Asked(
        group="wall",
        title=msgid("How high will it show at its highest place, in {unit}?"),
        description=msgid(
            "From the ground in front to the top, from {least} to {most} {unit}; it is taken to "
            "the nearest {nearest}. What is buried comes on top of that."
        ),
        short=msgid("Height that shows"),
    ),
    "line": Asked(
        group="wall",
        title=msgid("What line does it follow?"),
        description=msgid("As seen from above."),
        short=msgid("Line"),
        default="straight",
    ),
    "behind": Asked(
        group="place",
        title=msgid("What is the ground like behind the wall?"),
        description=msgid("On the high side, from the top of the wall on."),
        short=msgid("Ground behind"),
    ),
    "in_front": Asked(
        group="place",
        title=msgid("What is the ground like in front of the wall?"),
        description=msgid("On the low side, from the foot of the wall on."),
        short=msgid("Ground in front"),
    ),
    "above": Asked(
        group="place",
        title=msgid("What stands, or will stand, above the wall and near it?"),
        description=msgid(
            "Nearer than about twice the height of the wall. Choose the heaviest of them."
        ),
        short=msgid("Above the wall"),
    ),
    "now": Asked(
        group="place",
        title=msgid("What is there today, where the wall will stand?"),
        description=msgid("What has to go first."),
        short=msgid("There today"),
    ),
    "way_in": Asked(
        group="place",
        title=msgid("How wide is the way in, where it is narrowest?"),
        description=msgid("From the street to the wall: a gate, or the side of the house."),
        short=msgid("Way in"),
    ),
    "water": Asked(
        group="place",
        title=msgid("Where does the water go when it rains?"),
        description=msgid("Water behind a wall is what moves most walls."),
        short=msgid("Water"),
    ),
    "postal_code": Asked(
        group="plans",
        title=msgid("What is the postal code of the place?"),
        description=msgid("So that we see whether we build there."),
        short=msgid("Postal code"),
        optional=True,
    ),
    "when": Asked(
        group="plans",
        title=msgid("When should it be built?"),
        description=msgid("Roughly."),
        short=msgid("When"),
        optional=True,
    ),
}
GROUPS: Final[Mapping[Group, str]] = {
    "wall": msgid("The wall"),
    "place": msgid("The place"),
    "plans": msgid("Your plans"),
}
_UNITS: Final[Mapping[LengthUnit, str]] = {
    "ft": msgid("feet"),
    "in": msgid("inches"),
    "m": msgid("meters"),
    "cm": msgid("centimeters"),
}


def unit_said(unit: LengthUnit, words: Words) -> str:
    """A unit as people say it."""
    return words.say(_UNITS[unit])


def title_of(question: Field, site: Website, words: Words) -> str:
    """A question, with the unit of what is estimated."""
    estimated = estimated_of(question, site)
    unit = {"unit": unit_said(estimated.unit, words)} if estimated else {}
    return words.say(QUESTIONS[question].title, **unit)


def description_of(question: Field, site: Website, words: Words) -> str:
    """What a question means, with the bounds of what is estimated."""
    said, estimated = QUESTIONS[question].description, estimated_of(question, site)
    if estimated is None:
        return words.say(said)
    bounds = {key: f"{getattr(estimated, key):f}" for key in ("least", "most", "nearest")}
    return words.say(said, unit=unit_said(estimated.unit, words), **bounds)


def estimated_of(question: Field, site: Website) -> Estimated | None:
    """What a visitor estimates, if it is that."""
    return {"length": site.length, "height": site.height}.get(question)
