"""Finished jobs against their quotes, as JSON and as tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from rich.console import Console

from service.cli.columns import Column, print_columns, print_heading, print_text
from service.core.job.own_hours import OwnHours
from service.core.money import plain
from service.core.rounding import RATIO_STEP, to_step
from service.operations.quoting.finished_job import FinishedJob, JobsCheck
from service.operations.quoting.noted_counts import noted_counts

HOW = (
    "A noted task: its actual hours over its quoted ones, summed over the jobs that noted it.",
    "The tasks of jobs with a total: one factor, least squares of what each is off in per cent.",
    "More hours begin more days: the jobs are quoted with the factors and fitted again.",
    "Hours are those of the rates times the factor.",
    "A task without hours is site work, timed by what its machine compacts, or has no factor.",
    "Nothing was changed. A request takes the hours as overrides in rates.",
)


def check_document(jobs: Mapping[str, FinishedJob], check: JobsCheck) -> dict[str, Any]:
    """Jobs, tasks, counts and overrides with figures as text; what there is none of is null."""
    note = f"{len(jobs)} finished job{'' if len(jobs) == 1 else 's'}, factor "
    factors = {each.task: _ratio(each.factor) for each in check.factors}
    overrides = {
        task: {"hours": _hours(own), "note": f"{note}{factors[task]}"}
        for task, own in check.overrides.items()
    }
    return {
        "jobs": [
            _job(name, job, again)
            for (name, job), again in zip(jobs.items(), check.again, strict=True)
        ],
        "tasks": [
            {
                "task": each.task,
                "quoted": _text(each.quoted),
                "actual": None if each.actual is None else _text(each.actual),
                "factor": factors[each.task],
                "hours": overrides[each.task]["hours"] if each.task in overrides else None,
            }
            for each in check.factors
        ],
        "counts": [
            {
                "what": each.what,
                "quoted": _text(each.quoted),
                "actual": _text(each.actual),
                "factor": _ratio(each.factor),
            }
            for each in noted_counts(list(jobs.values()))
        ],
        "overrides": overrides,
        "how": list(HOW),
    }


def _job(name: str, job: FinishedJob, again: Decimal) -> dict[str, str]:
    return {
        "file": name,
        "quoted": _text(job.quoted_hours(job.labor)),
        "actual": _text(job.hours),
        "with_factors": _text(again),
    }


def print_check(console: Console, document: Mapping[str, Any]) -> None:
    """The same as tables, with how the factors are fitted."""
    _print(console, "Jobs, person-hours", document["jobs"], "file")
    _print(console, "Tasks, person-hours", document["tasks"], "task")
    if document["counts"]:
        _print(console, "Machines, loads and units", document["counts"], "what")
    print_heading(console, "How the factors are fitted")
    for line in document["how"]:
        print_text(console, line)


def _print(console: Console, heading: str, rows: Sequence[Mapping[str, Any]], name: str) -> None:
    columns = [
        Column(
            head=key.replace("_", " "), cells=[_cell(row[key]) for row in rows], words=key == name
        )
        for key in rows[0]
    ]
    print_columns(console, heading, columns)


def _cell(value: object) -> str:
    """A figure, a range as its three figures, or nothing."""
    if isinstance(value, Mapping):
        return " / ".join(value.values())
    return "" if value is None else str(value)


def _hours(own: OwnHours) -> str | dict[str, str]:
    figure = own.hours_per_unit
    if figure.certain:
        return plain(figure.likely)
    return {name: plain(getattr(figure, name)) for name in ("low", "likely", "high")}


def _ratio(factor: Fraction | None) -> str | None:
    return None if factor is None else _text(to_step(factor, RATIO_STEP))


def _text(figure: Decimal) -> str:
    return plain(figure)
