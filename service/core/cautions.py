"""Cautions: the rules of a place held against the facts of a job. Never a design check."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from service.core.jurisdiction import (
    TRIGGER_DIMENSION,
    Caution,
    CautionRule,
    Jurisdiction,
    Severity,
)
from service.core.rounding import CLOSE_M, CLOSE_SHARE

SEVERITIES: tuple[Severity, ...] = ("high", "medium", "low")
Facts = Mapping[str, float]  # by Trigger


def screen_cautions(
    jurisdiction: Jurisdiction, wall_facts: Mapping[str, Facts], job_facts: Facts
) -> tuple[Caution, ...]:
    """The cautions that hold: one per rule and wall, or one per rule for facts of the job.

    `wall_facts` are by wall name; figures in SI (m, kg, Pa, rise over run, rad), triggers without
    a figure 1 or 0. A fact that isn't given holds nothing; `always` holds for every job. Sorted by
    severity, then in the order of the rules, then by wall name.
    """
    job = {"always": 1.0, **job_facts}
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
    if _holds(rule, job_facts):
        yield _caution(rule, None)
    for name in sorted(wall_facts):
        if _holds(rule, wall_facts[name]):
            yield _caution(rule, name)


def _holds(rule: CautionRule, facts: Facts) -> bool:
    """Whether a fact is given and lies beyond every limit of the rule.

    A figure within the tolerance of a limit is equal to it: 48 in is not over 48 in.
    """
    value = facts.get(rule.trigger)
    if value is None:
        return False
    if rule.over is None and rule.at_least is None and rule.under is None:
        return value > 0
    return (
        (rule.over is None or value > rule.over + _tolerance(rule, rule.over))
        and (rule.at_least is None or value >= rule.at_least - _tolerance(rule, rule.at_least))
        and (rule.under is None or value < rule.under - _tolerance(rule, rule.under))
    )


def _tolerance(rule: CautionRule, limit: float) -> float:
    """How close a figure is to a limit when they count as equal."""
    is_length = TRIGGER_DIMENSION.get(rule.trigger) == "length"
    return CLOSE_M if is_length else CLOSE_SHARE * abs(limit)


def _caution(rule: CautionRule, wall: str | None) -> Caution:
    """A rule that holds, for a wall or the job."""
    return Caution(
        code=rule.code, severity=rule.severity, text=rule.text, source=rule.source, wall=wall
    )
