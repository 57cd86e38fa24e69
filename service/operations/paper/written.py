"""Figures of an answer as a document writes them: with all their digits, in its language."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal

from service.core.measure import unit_sign
from service.documents.words import Words, msgid
from service.operations.answer_figures import Measure
from service.operations.readable import detail_text, length_text, measure_parts

_DECIMAL = re.compile(r"-?[0-9]+(\.[0-9]+)?", re.ASCII)
# Units that are words, each with its plural.
_COUNTED = {
    "each": (msgid("{figure} piece"), msgid("{figure} pieces")),
    "pallet": (msgid("{figure} pallet"), msgid("{figure} pallets")),
    "bag": (msgid("{figure} bag"), msgid("{figure} bags")),
    "roll": (msgid("{figure} roll"), msgid("{figure} rolls")),
    "length": (msgid("{figure} length"), msgid("{figure} lengths")),
    "load": (msgid("{figure} load"), msgid("{figure} loads")),
    "day": (msgid("{figure} day"), msgid("{figure} days")),
    "pack": (msgid("{figure} pack"), msgid("{figure} packs")),
    "ton": (msgid("{figure} ton"), msgid("{figure} tons")),
}


def exact(measure: Measure, words: Words) -> str:
    """A measure with all its digits: it stands beside a price."""
    forms = _COUNTED.get(measure.unit)
    figure = words.figure(measure.value)
    if forms is None:
        return f"{figure} {unit_sign(measure.unit)}"
    one = Decimal(measure.value) == 1
    return words.say_count(*forms, 1 if one else 2, figure=figure)


def length(measure: Measure, words: Words) -> str:
    """A length as a tape reads it; metric figures with the language's decimal sign."""
    return localized(length_text(measure), words)


def localized(text: str, words: Words) -> str:
    """A figure with its unit, the figure as the language writes it; feet and inches, and
    fractions of an inch, as they are."""
    figure, _, unit = text.partition(" ")
    return f"{words.figure(figure)} {unit}" if _DECIMAL.fullmatch(figure) else text


def listed(parts: Iterable[str], words: Words) -> str:
    """Things in a row: `a, b and c`."""
    *most, last = parts
    return words.say("{several} and {last}", several=", ".join(most), last=last) if most else last


def detail(measure: Measure, words: Words) -> str:
    """A length that is set out to the last mark."""
    return localized(detail_text(measure), words)


def about(measure: Measure, words: Words) -> str:
    """A measure rounded for reading: no price is multiplied from it."""
    if measure.unit in ("ft", "m"):
        return length(measure, words)
    return exact(Measure(measure_parts(measure)[0], measure.unit), words)
