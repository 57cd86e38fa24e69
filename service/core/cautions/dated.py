"""Cautions that go by the day of a quote and by the day from which its prices hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.core.cautions.caution import Caution
from service.core.cautions.cautions import SEVERITIES, screen_cautions
from service.core.cautions.place_facts import season_facts
from service.core.job.fact import Fact
from service.core.job.jurisdiction import Jurisdiction
from service.core.measure import UnitSet

TRIGGERS = ("prices_not_effective", "frost_month", "wet_month")


def dated_cautions(
    place: Jurisdiction, month: int | None, units: UnitSet, *, not_effective: bool
) -> tuple[Caution, ...]:
    """The cautions of a quote in these units that is dated in a month, if it is dated;
    `not_effective`: before its prices hold."""
    rules = tuple(rule for rule in place.cautions if rule.trigger in TRIGGERS)
    facts = {
        "prices_not_effective": Fact(value=float(not_effective)),
        **season_facts(month, place),
    }
    return screen_cautions(replace(place, cautions=rules), {}, facts, units).given


def dated_codes(place: Jurisdiction) -> tuple[str, ...]:
    """The codes that go by the day."""
    return tuple(rule.code for rule in place.cautions if rule.trigger in TRIGGERS)


def order_of(place: Jurisdiction) -> Sequence[str]:
    """The codes of a place in the order in which cautions are given."""
    return tuple(
        rule.code for severity in SEVERITIES for rule in place.cautions if rule.severity == severity
    )
