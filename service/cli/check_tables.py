"""The checks of a quote as a table, what they come to in words, and what layers change."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from msgspec import UnsetType
from rich.console import Console

from service.cli.columns import Column, print_columns, print_steps, print_text
from service.cli.pointers import words_of
from service.core.closed_list import row_each
from service.core.engineering import ENGINEER
from service.core.job.terms import Settled
from service.operations.answer_figures import Measure
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.changes_request import PatchStep
from service.operations.quoting.levels import Levels
from service.operations.quoting.screening_answer import CheckAnswer, ScreeningAnswer
from service.operations.quoting.would_pass_answer import AlternativeAnswer
from service.operations.readable import detail_text, length_text, lengths_read

_SETTLED_WORDS: Mapping[Settled, str] = row_each(
    get_args(Settled),
    {
        "in_price": "in the price",
        "by_owner": "by the owner, not in the price",
        "not_needed": "not needed",
    },
)


def print_checks(console: Console, answer: QuoteAnswer, levels: Levels, *, how: bool) -> None:
    """Each check with its figure and what it must reach, then the summary."""
    checks = answer.checks
    columns = (
        Column(head="check", cells=[_said(check.check) for check in checks], words=True),
        Column(head="wall", cells=[check.wall for check in checks], words=True),
        Column(head="as", cells=[check.build for check in checks], words=True),
        Column(head="status", cells=[_said(check.status) for check in checks], words=True),
        Column(head="value", cells=[_given(check.value) for check in checks]),
        Column(head="required", cells=[_required(check) for check in checks]),
        Column(head="at", cells=[_station(check) for check in checks]),
    )
    print_columns(console, f"Checks, {answer.screening.title}", columns)
    for line in answer.screening.summary:
        print_text(console, lengths_read(line))
    _print_layers(console, answer)
    _print_changes(console, "Would pass", answer.screening.would_pass, levels)
    _print_changes(console, "Another wall that would pass", answer.screening.other_walls, levels)
    for line in _lines_of(answer.screening.why_none):
        print_text(console, lengths_read(line))
    if how:
        steps = [(f"{check.wall}: {_said(check.check)}", _lines(check)) for check in checks]
        print_steps(console, "How the checks are made", [step for step in steps if step[1]])


def print_engineering(console: Console, answer: QuoteAnswer) -> None:
    """How the engineer's work is settled, or that it has to be before the quote goes out."""
    stated = answer.engineering
    if not isinstance(stated, UnsetType):
        why = "" if isinstance(stated.because, UnsetType) else f": {stated.because}"
        print_text(console, f"Engineering: {_SETTLED_WORDS[stated.settled]}{why}")
    elif any(check.status == "fail" for check in answer.checks) or any(
        caution.code.startswith(ENGINEER) for caution in answer.cautions
    ):
        print_text(console, "Engineering: not settled. This quote doesn't go out before it is.")


def _print_layers(console: Console, answer: QuoteAnswer) -> None:
    """Where layers lie, and what they would change, or do."""
    layers = answer.screening.reinforcement
    if isinstance(layers, UnsetType):
        return
    described = layers.description
    named = layers.item if isinstance(described, UnsetType) else described
    _print_places(console, answer.screening, named)
    if isinstance(layers.price_effect, UnsetType):
        return
    effect = layers.price_effect
    quoted = "quoted here" if layers.quoted else "not in this price"
    print_text(
        console,
        f"Layers of {named} ({quoted}): total {effect.gravity_total} without, "
        f"{effect.reinforced_total} with them, difference {effect.difference} {answer.currency}",
    )


def _print_places(console: Console, screening: ScreeningAnswer, named: str) -> None:
    """Each layer with the course on which it lies, its length into the soil and its stations."""
    rows = [
        (wall.wall, layer)
        for wall in screening.walls
        if not isinstance(wall.layers, UnsetType)
        for layer in wall.layers
    ]
    columns = (
        Column(head="wall", cells=[wall for wall, _ in rows], words=True),
        Column(head="on top of course", cells=[str(layer.course) for _, layer in rows]),
        Column(head="length", cells=[length_text(layer.length) for _, layer in rows]),
        Column(head="from station", cells=[length_text(layer.from_station) for _, layer in rows]),
        Column(head="to station", cells=[length_text(layer.to_station) for _, layer in rows]),
    )
    print_columns(console, f"Layers of {named}, from the face of the units into the soil", columns)


def _print_changes(
    console: Console,
    head: str,
    found: tuple[AlternativeAnswer, ...] | UnsetType,
    levels: Levels,
) -> None:
    """Each set of changes, its total where it was asked for, and its patch."""
    for each in () if isinstance(found, UnsetType) else found:
        money = (
            ""
            if isinstance(each.total, UnsetType)
            else f" (total {each.total}, difference {each.difference})"
        )
        print_text(console, f"{head}: {each.text}{money}")
        for step in each.patch:
            print_text(console, f"    {words_of(step['path'])}: {_value(step, levels)}")


def _value(step: PatchStep, levels: Levels) -> str:
    """What a field becomes: a level or a height as it is read, an id as it is written."""
    value: str | dict[str, str] = step["value"]
    if isinstance(value, dict):
        return ", ".join(f"{key} {each}" for key, each in value.items())
    field = step["path"].rpartition("/")[2]
    if field not in ("top", "back_grade", "exposed"):
        return value
    length = Measure(*value.split(" "))
    return detail_text(length) if field == "exposed" else levels.figure(length)


def _said(name: str) -> str:
    return name.replace("_", " ")


def _lines_of(said: tuple[str, ...] | UnsetType) -> tuple[str, ...]:
    return () if isinstance(said, UnsetType) else said


def _lines(check: CheckAnswer) -> tuple[str, ...]:
    """The arithmetic, what the check rests on, and what it lacks."""
    return (
        *check.how,
        *(f"rests on the default of {words_of(field)}" for field in _lines_of(check.assumed)),
        *(f"missing: {what}" for what in _lines_of(check.missing)),
    )


def _required(check: CheckAnswer) -> str:
    if isinstance(check.required, UnsetType):
        return ""
    return f"{'at least' if check.limit == 'min' else 'at most'} {check.required}"


def _station(check: CheckAnswer) -> str:
    if isinstance(check.station, UnsetType):
        return ""
    return length_text(check.station)


def _given(value: str | UnsetType) -> str:
    return "" if isinstance(value, UnsetType) else value
