"""Cautions: the rules of a place held against the facts of a job. Never a design check."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from service.core.job.fact import Fact, Facts
from service.core.job.jurisdiction import (
    TRIGGER_DIMENSION,
    Caution,
    CautionRule,
    Jurisdiction,
    Severity,
)
from service.core.rounding import CLOSE_M, CLOSE_SHARE

SEVERITIES: tuple[Severity, ...] = ("high", "medium", "low")
ALWAYS = Fact(value=1.0)


def screen_cautions(
    jurisdiction: Jurisdiction, wall_facts: Mapping[str, Facts], job_facts: Facts
) -> tuple[Caution, ...]:
    """The cautions that hold: one per rule and wall, or one per rule for facts of the job.

    `wall_facts` are by wall name; figures in SI (m, kg, Pa, rise over run, rad), triggers without
    a figure 1 or 0. A fact that isn't given holds nothing; `always` holds for every job. The text
    is the rule's, with the words of the fact after it. Sorted by severity, then in the order of
    the rules, then by wall name.
    """
    job: Facts = {"always": ALWAYS, **job_facts}
    return tuple(
        caution
        for severity in SEVERITIES
        for rule in jurisdiction.cautions
        if rule.severity == severity
        for caution in _of_rule(rule, wall_facts, job)
    )


def _of_rule(
    rule: CautionRule, wall_facts: Mapping[str, Facts], job_facts: Facts
) -> Iterator[Caution]:
    """What one rule gives: first for the job, then wall by wall."""
    places: list[tuple[str | None, Facts]] = [(None, job_facts)]
    places += [(name, wall_facts[name]) for name in sorted(wall_facts)]
    for wall, facts in places:
        fact = facts.get(rule.trigger)
        if fact and _holds(rule, fact.value):
            yield Caution(
                code=rule.code,
                severity=rule.severity,
                text=f"{rule.text} {fact.words}".rstrip(),
                source=rule.source,
                wall=wall,
            )


def _holds(rule: CautionRule, value: float) -> bool:
    """Whether a figure lies beyond every limit of the rule.

    A figure within the tolerance of a limit is equal to it: 48 in is not over 48 in.
    """
    if rule.over is None and rule.at_least is None and rule.under is None:
        return value > 0
    return (
        (rule.over is None or value > rule.over + _tolerance(rule, rule.over))
        and (rule.at_least is None or value >= rule.at_least - _tolerance(rule, rule.at_least))
        and (rule.under is None or value < rule.under - _tolerance(rule, rule.under))
    )


def _tolerance(rule: CautionRule, limit: float) -> float:
    """How close a figure is to a limit when they count as equal."""
    is_length = TRIGGER_DIMENSION[rule.trigger] == "length"
    return CLOSE_M if is_length else CLOSE_SHARE * abs(limit)
