"""Circumstances that make work slower or faster: the choices of a request, as factors."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from fractions import Fraction

from service.core.errors import Fault, QuoteFaultsError
from service.core.job.factor import Factor
from service.core.job.rates import Rates


def condition_factors(rates: Rates, conditions: Mapping[str, str]) -> Mapping[str, Factor]:
    """The factor of every condition of the rates, neutral where no choice was made.

    Raises QuoteFaultsError for conditions and choices that the rates don't have.
    """
    faults = _faults(rates, conditions)
    if faults:
        raise QuoteFaultsError(faults)
    return {
        name: Factor(
            factor=Fraction(rates.conditions[name].choices[choice]), words=f"{name}: {choice}"
        )
        for name, choice in choices_in_force(rates, conditions).items()
    }


def choices_in_force(rates: Rates, conditions: Mapping[str, str]) -> Mapping[str, str]:
    """The choice of every condition of the rates, neutral where none was made."""
    return {
        name: conditions.get(name, condition.neutral)
        for name, condition in rates.conditions.items()
    }


def _faults(rates: Rates, conditions: Mapping[str, str]) -> tuple[Fault, ...]:
    return tuple(
        _unknown("unknown-condition", name, name, rates.conditions)
        if name not in rates.conditions
        else _unknown("unknown-condition-choice", name, choice, rates.conditions[name].choices)
        for name, choice in conditions.items()
        if name not in rates.conditions or choice not in rates.conditions[name].choices
    )


def _unknown(code: str, name: str, word: str, known: Iterable[str]) -> Fault:
    """A condition, or a choice of one, that the rates don't have."""
    nearest = difflib.get_close_matches(word, sorted(known), n=1, cutoff=0.0)
    words = "condition" if code == "unknown-condition" else f"choice of condition {name!r}"
    return Fault(
        code=code,
        at=("conditions", name),
        message=f"the rates have no {words} {word!r}",
        hint=nearest[0] if nearest else None,
    )
