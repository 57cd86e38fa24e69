"""Cautions: the rules of a place held against the facts of a job. Never a design check."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from service.core.cautions.caution import Caution, Cautions
from service.core.cautions.stated import stated
from service.core.job.fact import Fact, Facts
from service.core.job.jurisdiction import (
    TRIGGER_DIMENSION,
    CautionRule,
    Jurisdiction,
    Severity,
    Trigger,
)
from service.core.measure import UnitSet
from service.core.rounding import CLOSE_M, CLOSE_SHARE

SEVERITIES: tuple[Severity, ...] = ("high", "medium", "low")
ALWAYS = Fact(value=1.0)
_Place = str | None  # a wall's name; None: the whole job
_Known = Mapping[Trigger, Mapping[_Place, Fact]]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """A rule, and the facts it holds by: first of the job, then wall by wall."""

    rule: CautionRule
    facts: Mapping[_Place, Fact]


def screen_cautions(
    jurisdiction: Jurisdiction,
    wall_facts: Mapping[str, Facts],
    job_facts: Facts,
    units: UnitSet,
) -> Cautions:
    """The cautions that hold, one per code (rules 22.1 to 22.3).

    `wall_facts` are by wall name; figures in SI (m, m3, kg, Pa, rise over run, rad), triggers
    without a figure 1 or 0. A fact that isn't given holds nothing; `always` holds for every job.
    `units` are those of the request, for what the place states (rule 22.12).
    Sorted by severity, then in the order of the rules.
    """
    places: dict[_Place, Facts] = {None: {"always": ALWAYS, **job_facts}}
    places |= {name: wall_facts[name] for name in sorted(wall_facts)}
    known = _by_trigger(places)
    held = [
        _Held(rule=rule, facts=facts)
        for rule in jurisdiction.cautions
        if rule.trigger in known and (facts := _where_held(rule, known[rule.trigger]))
    ]
    held.sort(key=lambda each: SEVERITIES.index(each.rule.severity))
    said = [each for each in (_not_replaced(each, held) for each in held) if each.facts]
    return Cautions(
        given=tuple(_caution(each, units) for each in said if not each.rule.general),
        always=tuple(_caution(each, units) for each in said if each.rule.general),
        held=tuple(dict.fromkeys(each.rule.code for each in (*said, *held))),
        held_at=MappingProxyType({each.rule.code: tuple(each.facts) for each in held}),
        design_asked=tuple(each.rule.code for each in held if each.rule.asks_design),
    )


def _by_trigger(places: Mapping[_Place, Facts]) -> _Known:
    """What is known, by what a rule asks for."""
    found: dict[Trigger, dict[_Place, Fact]] = {}
    for place, facts in places.items():
        for trigger, fact in facts.items():
            found.setdefault(trigger, {})[place] = fact
    return found


def _where_held(rule: CautionRule, known: Mapping[_Place, Fact]) -> Mapping[_Place, Fact]:
    """Where one rule holds, and by what, of the facts that it asks for."""
    return {place: fact for place, fact in known.items() if _holds(rule, fact.value)}


def _not_replaced(this: _Held, held: Sequence[_Held]) -> _Held:
    """A rule where no other one speaks for it: one that holds for the job does so everywhere, one
    that holds for a wall there, and for what is said of the whole job."""
    speaking = {
        place for each in held if this.rule.code in each.rule.replaces for place in each.facts
    }
    if not speaking:
        return this
    kept: dict[_Place, Fact] = {}
    if None not in speaking:
        kept = {p: fact for p, fact in this.facts.items() if p and p not in speaking}
    return _Held(rule=this.rule, facts=kept)


def _caution(held: _Held, units: UnitSet) -> Caution:
    rule = held.rule
    return Caution(
        code=rule.code,
        severity=rule.severity,
        text=" ".join((stated(rule.text, units), *_words(held.facts))),
        source=rule.source,
        walls=tuple(place for place in held.facts if place is not None),
    )


def _words(facts: Mapping[_Place, Fact]) -> Iterator[str]:
    """What the facts say: once where it is the same everywhere, else by wall."""
    words = dict.fromkeys(fact.words for fact in facts.values())
    if len(words) == 1:
        yield from (each for each in words if each)
        return
    for place, fact in facts.items():
        if fact.words:
            yield fact.words if place is None else f"{place}: {fact.words}"


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
