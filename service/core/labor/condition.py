"""Circumstances that make work slower or faster: the choices of a request, as factors."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from service.core.errors import Fault, QuoteFaultsError
from service.core.fraction import Fraction
from service.core.job.fact import Assumption
from service.core.job.factor import Factor
from service.core.job.rates import Condition, Rates
from service.core.labor.lifted import ByChoice, Lifted
from service.core.measure import number
from service.core.near_words import NearWords
from service.core.shares import Shares


def condition_factors(
    rates: Rates, conditions: Mapping[str, str], lifted: Lifted | None = None
) -> Mapping[str, Factor]:
    """The factor of every condition of the rates, neutral where no choice was made; for the one
    that goes by the height of courses the mean over all their units.

    Raises QuoteFaultsError for conditions and choices that the rates don't have.
    """
    faults = _faults(rates, conditions)
    if faults:
        raise QuoteFaultsError(faults)
    chosen = choices_in_force(rates, conditions)
    factors = {name: _factor(rates.conditions[name], choice) for name, choice in chosen.items()}
    if lifted is None:
        return factors
    parts = parts_of(rates, lifted, lifted.in_courses)
    return {**factors, lifted.condition: _mean(lifted.condition, parts)}


def choices_in_force(rates: Rates, conditions: Mapping[str, str]) -> Mapping[str, str]:
    """The choice of every condition of the rates, neutral where none was made."""
    return {
        name: conditions.get(name, condition.neutral)
        for name, condition in rates.conditions.items()
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of what is measured that has a factor of its own, and what of it each wall has."""

    choice: str
    factor: Factor
    shares: Shares

    @property
    def amount(self) -> float:
        """How much it is, over all walls."""
        return math.fsum(net for _, net in self.shares)


def parts_of(rates: Rates, lifted: Lifted, by_choice: ByChoice) -> tuple[Part, ...]:
    """Units by the factor that the height of their course gives."""
    condition = rates.conditions[lifted.condition]
    return tuple(
        Part(choice=choice, factor=_factor(condition, choice), shares=shares)
        for choice, shares in by_choice
    )


def neutral_assumption(condition: Condition) -> Assumption:
    """The assumption that nothing makes work slower where nobody chose and nothing is known."""
    return Assumption(
        field=f"/conditions/{condition.id}",
        value=condition.neutral,
        why=f"the neutral choice: {condition.title}",
    )


def _factor(condition: Condition, choice: str) -> Factor:
    return Factor(factor=Fraction(condition.choices[choice]), words=f"{condition.id}: {choice}")


def _mean(name: str, parts: Sequence[Part]) -> Factor:
    """The mean factor of parts by how much they are; of one part its own."""
    if len(parts) == 1:
        return parts[0].factor
    amounts = [Fraction(part.amount) for part in parts]
    weighted = (n * part.factor.factor for n, part in zip(amounts, parts, strict=True))
    words = ", ".join(f"{number(part.amount)} {part.choice}" for part in parts)
    return Factor(
        factor=sum(weighted, Fraction(0)) / sum(amounts, Fraction(0)),
        words=f"{name}: mean of units, {words}",
    )


def _faults(rates: Rates, conditions: Mapping[str, str]) -> tuple[Fault, ...]:
    near = NearWords()
    return tuple(
        _unknown("unknown-condition", name, name, rates.conditions, near)
        if name not in rates.conditions
        else _unknown(
            "unknown-condition-choice", name, choice, rates.conditions[name].choices, near
        )
        for name, choice in conditions.items()
        if name not in rates.conditions or choice not in rates.conditions[name].choices
    )


def _unknown(code: str, name: str, word: str, known: Iterable[str], near: NearWords) -> Fault:
    """A condition, or a choice of one, that the rates don't have."""
    words = "condition" if code == "unknown-condition" else f"choice of condition {name!r}"
    return Fault(
        code=code,
        at=("conditions", name),
        message=f"the rates have no {words} {word!r}; one of {', '.join(known)}",
        hint=near.nearest(word, tuple(sorted(known))),
    )
