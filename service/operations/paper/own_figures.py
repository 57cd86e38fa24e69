"""The job's own figures behind a caution, in the language of the paper.

The core says them in English, and an answer that was kept holds them so: each sentence is known by
its message, its figures are put into the translation. What is no known message stays as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache

from service.documents.words import Words, msgid

# What cautions say of a job.
SENTENCES = (
    msgid("Largest exposed height {height}."),
    msgid("Wall height {height} at station {station}."),
    msgid("From the top as built to the ground in front {height} at station {station}."),
    msgid("From bottom of pad to top {height} at station {station}."),
    msgid("From the underside of the lowest unit to top {height} at station {station}."),
    msgid("From the ground in front to top {height} at station {station}."),
    msgid("From bottom of trench to ground behind {depth} at station {station}."),
    msgid("From bottom of trench to top of cut {depth} at station {station}."),
    msgid(
        "One cut with {walls}: from the lowest trench bottom to the highest top {depth} at "
        "station {station}."
    ),
    msgid("Soil class {found}: no steeper than {slope}."),
    msgid("Soil class {found}, not {own}, because the ground is fill: no steeper than {slope}."),
    msgid("The quoted slope of {slope} is the protection."),
    msgid("Existing ground is not given, so no slope of the cut is quoted."),
    msgid(
        "The front of the trench is upright, {height} high at station {station}; class "
        "{found} may stand no steeper than {slope}."
    ),
    msgid(
        "The face behind stands at {given}, {height} high at station {station}; class {found} "
        "may stand no steeper than {slope}."
    ),
    msgid(
        "{what}, {away} behind the plan line, is reached by the cut, which ends {reach} from "
        "it at station {station}."
    ),
    msgid(
        "{what}, {away} in front of the plan line, is reached by the cut, which ends {reach} "
        "from it at station {station}."
    ),
    msgid("What is dug stays {back} or more from the edge."),
    msgid("Up to {height} of fill under the pad, at station {station}."),
    msgid("In front, finished ground ends {height} above existing ground at station {station}."),
    msgid("In front, finished ground ends {height} below existing ground at station {station}."),
    msgid("Behind, finished ground ends {height} above existing ground at station {station}."),
    msgid("Behind, finished ground ends {height} below existing ground at station {station}."),
    msgid("Fill stands {height} over the ground there, at station {station}."),
    msgid("Cut {cut}, fill {fill}."),
    msgid(
        "Beside the corner at station {station} (plan part {part}) both sides meet up to "
        "{met} behind the plan line, and no farther."
    ),
    msgid(
        "Beside the corner at station {station} (plan part {part}) both sides meet up to "
        "{met} in front of the plan line, and no farther."
    ),
    msgid("Outside radius {radius} at the top course, minimum {least}."),
    msgid("Inside radius {radius} at the base course, minimum {least}."),
    msgid("Faces meet at {degrees} deg."),
    msgid("Nearest step {away} from the end."),
    msgid("Up to {count} courses."),
    msgid("The {unit} weighs {weight}."),
    msgid("The {unit} weighs {weight}; nothing may be lifted in this posture and so often."),
    msgid(
        "The {unit} weighs {weight}, the limit at {often} a minute all day is {limit}: "
        "lifting index {index}."
    ),
    msgid("What counts: {loads}."),
    msgid("Here: {loads}."),
    msgid("{load}, {away} behind the face."),
    msgid("{load}, {away} behind the face; the drop is {drop}."),
    msgid("The ground behind is {higher} higher than in front."),
    msgid("{soil}, group {group}: {presumed}."),
    msgid("Retained soil: {soil}."),
    msgid("Fill: {soil}, group {group}."),
    msgid("Under the pad: {soil}."),
    msgid("Too little: {checks}."),
    msgid("At least {cover} of it."),
    msgid("The quote is dated in {month}."),
    msgid("How far it is was not said."),
    msgid("Embedment goes by {book}, the checks by {basis}."),
    msgid("The truck drops its load there."),
    msgid("Downspouts: {count}."),
    msgid("Outlet run {length}."),
    msgid("The pipe lies {below} below the outlet."),
    msgid("The pipe lies {below} below the ground in front."),
    msgid("It falls by {fall} %."),
    msgid("The line is {away} away."),
    msgid("The line is {away} away, the highest wall {high} high."),
    msgid("They are {away} away."),
    msgid("Said of: {lines}."),
    msgid("A tree stands {away} away."),
    msgid("A tree of {trunk} stands {away} away."),
    msgid("{upper} stands {offset} behind the face of {lower}."),
    msgid(
        "{upper} stands {offset} behind {lower}, the taller of the two shows {shows}, "
        "together they are {high} high"
    ),
    msgid("Together {height}: {parts}."),
    msgid("{tool}: {control}."),
    msgid("{tool}: {control}; a respirator with an assigned protection factor of {factor}."),
    msgid(
        "{tool}: {control}; over {hours} h of it in a shift a respirator with an assigned "
        "protection factor of {factor}."
    ),
    msgid("A pallet weighs {weight}, and no machine that is used lifts one."),
    msgid("A pallet weighs {weight}, and no machine that passes lifts one."),
    msgid("A pallet weighs {weight}, and {machine} lifts {lifts}."),
)
# What stands within such a sentence: alone, or in a row.
PHRASES = (
    msgid("{load}, {away} behind the face"),
    msgid("ground that rises {slope} from {away} behind the face"),
    msgid("{soil} under the wall"),
    msgid("the stated surcharge"),
    msgid("steep ground"),
    msgid("tiers"),
    msgid("wet ground"),
    msgid("fill was seen"),
    msgid("slide was seen"),
    msgid("spring was seen"),
    msgid("the wall stands on fill"),
    msgid("standard unit"),
    msgid("corner unit"),
    msgid("cap"),
    msgid("sliding on the base"),
    msgid("overturning"),
    msgid("eccentricity"),
    msgid("bearing"),
    msgid("shear between courses"),
    msgid("hinge height"),
    msgid("tension of a layer"),
    msgid("pullout of a layer"),
    msgid("connection of a layer"),
    msgid("distance of tiers"),
    msgid("the slope as a whole"),
    msgid("water behind the wall"),
    msgid("Masonry saw on a stand"),
    msgid("Handheld saw"),
    msgid("Walk-behind saw"),
    msgid("Handheld breaker"),
    msgid("Breaker on a machine"),
    msgid("water on the blade all the time"),
    msgid("water on the blade all the time, outdoors"),
    msgid("water where it strikes all the time, outdoors"),
    msgid("water on what is broken while anybody works outside the cab"),
    msgid("The property line"),
    msgid("A tree"),
    msgid("{active} active and {rest} at rest ({source})"),
    msgid("{pressure} of bearing ({source})"),
    msgid("January"),
    msgid("February"),
    msgid("March"),
    msgid("April"),
    msgid("May"),
    msgid("June"),
    msgid("July"),
    msgid("August"),
    msgid("September"),
    msgid("October"),
    msgid("November"),
    msgid("December"),
    msgid("irrigation"),
    msgid("lighting"),
    msgid("power"),
    msgid("data"),
    msgid("gas"),
    msgid("water"),
    msgid("septic"),
    msgid("sewer"),
    msgid("drain"),
    msgid("pet fence"),
    msgid("other"),
)
_PLACE = re.compile(r"\{([a-z]+)\}")
# A figure or a name: it ends where a sentence does.
_WITHIN = r"((?:(?!\. ).)+?)"


def in_language(text: str, walls: Iterable[str], words: Words) -> str:
    """Sentences behind a caution, those of one wall after its name (`walls`)."""
    return " ".join(_sentences(text.strip(), tuple(walls), words)) if text.strip() else ""


def _sentences(text: str, walls: tuple[str, ...], words: Words) -> Iterator[str]:
    place = 0
    while place < len(text):
        wall = next((name for name in walls if text.startswith(f"{name}: ", place)), None)
        start = place + len(f"{wall}: ") if wall is not None else place
        found = _known(SENTENCES, text, start, words)
        if found is None:
            yield text[place:]
            return
        said, end = found
        yield f"{wall}: {said}" if wall is not None else said
        place = end + 1


def _known(
    messages: tuple[str, ...], text: str, start: int, words: Words, *, whole: bool = False
) -> tuple[str, int] | None:
    """The first message that a text has at a place, in the language, and where it ends."""
    for message, pattern in _patterns(messages):
        found = pattern.fullmatch(text) if whole else pattern.match(text, start)
        if found:
            names = _PLACE.findall(message)
            figures = zip(names, found.groups(), strict=True)
            told = {name: _value(figure, words) for name, figure in figures}
            return words.say(message, **told), found.end()
    return None


def _value(text: str, words: Words) -> str:
    """What stands in a sentence: a known phrase, a text of the catalog, or several of them."""
    known = _known(PHRASES, text, 0, words, whole=True)
    if known is not None:
        return known[0]
    if told := words.find_data(text):
        return told
    if told := words.find_data(text.capitalize()):
        return told.lower()
    for mark in ("; ", ", "):
        if mark in text:
            return mark.join(_value(part, words) for part in text.split(mark))
    return text


@cache
def _patterns(messages: tuple[str, ...]) -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Messages as patterns: first those with the most words of their own before a figure, then
    those with the most in all."""
    ordered = sorted(
        messages,
        key=lambda message: (len(_PLACE.split(message)[0]), len(_PLACE.sub("", message))),
        reverse=True,
    )
    return tuple((message, _pattern(message)) for message in ordered)


def _pattern(message: str) -> re.Pattern[str]:
    own = _PLACE.split(message)[::2]
    return re.compile(_WITHIN.join(map(re.escape, own)) + r"(?= |$)")
