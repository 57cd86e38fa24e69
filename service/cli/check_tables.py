"""The checks of a quote as a table, what they come to in words, and what layers change."""

from __future__ import annotations

from msgspec import UnsetType
from rich.console import Console

from service.cli.columns import Column, print_columns, print_steps, print_text
from service.cli.figures import length_text
from service.cli.pointers import words_of
from service.operations.quoting.answer import QuoteAnswer
from service.operations.quoting.screening_answer import CheckAnswer
from service.operations.quoting.would_pass_answer import AlternativeAnswer


def print_checks(console: Console, answer: QuoteAnswer, *, how: bool) -> None:
    """Each check with its figure and what it must reach, then the summary."""
    checks = answer.checks
    columns = (
        Column(head="check", cells=[check.check for check in checks], words=True),
        Column(head="wall", cells=[check.wall for check in checks], words=True),
        Column(head="as", cells=[check.build for check in checks], words=True),
        Column(head="status", cells=[check.status for check in checks], words=True),
        Column(head="value", cells=[_given(check.value) for check in checks]),
        Column(head="required", cells=[_required(check) for check in checks]),
        Column(head="at", cells=[_station(check) for check in checks]),
    )
    print_columns(console, f"Checks, {answer.screening.title}", columns)
    for line in answer.screening.summary:
        print_text(console, line)
    _print_layers(console, answer)
    _print_changes(console, "Would pass", answer.screening.would_pass)
    _print_changes(console, "Another wall that would pass", answer.screening.other_walls)
    if how:
        steps = [(f"{check.wall}: {check.check}", _lines(check)) for check in checks]
        print_steps(console, "How the checks are made", [step for step in steps if step[1]])


def _print_layers(console: Console, answer: QuoteAnswer) -> None:
    """What layers would change, or do."""
    layers = answer.screening.reinforcement
    if isinstance(layers, UnsetType) or isinstance(layers.price_effect, UnsetType):
        return
    effect = layers.price_effect
    quoted = "quoted here" if layers.quoted else "not in this price"
    print_text(
        console,
        f"Layers of {layers.item} ({quoted}): total {effect.gravity_total} without, "
        f"{effect.reinforced_total} with them, difference {effect.difference} {answer.currency}",
    )


def _print_changes(
    console: Console, head: str, found: tuple[AlternativeAnswer, ...] | UnsetType
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
            print_text(console, f"    {words_of(step['path'])}: {_value(step['value'])}")


def _value(value: str | dict[str, str]) -> str:
    if isinstance(value, str):
        return value
    return ", ".join(f"{key} {each}" for key, each in value.items())


def _lines(check: CheckAnswer) -> tuple[str, ...]:
    """The arithmetic, what the check rests on, and what it lacks."""
    assumed = () if isinstance(check.assumed, UnsetType) else check.assumed
    missing = () if isinstance(check.missing, UnsetType) else check.missing
    return (
        *check.how,
        *(f"rests on the default of {words_of(field)}" for field in assumed),
        *(f"missing: {what}" for what in missing),
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
