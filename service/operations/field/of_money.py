"""What of an answer is about prices, and so for the office alone."""

from __future__ import annotations

from service.core.job.jurisdiction import Jurisdiction, Trigger

# Triggers of cautions that only whoever prices reads.
ABOUT_PRICES: frozenset[Trigger] = frozenset(
    {"price_tax_assumed", "markup", "prices_not_effective"}
)
# Parts of a request whose defaults are for whoever prices.
_PRICED_BY = ("/terms", "/rates", "/prices")


def is_about_prices(code: str, place: Jurisdiction) -> bool:
    """Whether a caution of a place is about prices."""
    return any(rule.code == code and rule.trigger in ABOUT_PRICES for rule in place.cautions)


def is_priced_by(field: str) -> bool:
    """Whether the place of an assumption is in the terms, the rates or the prices."""
    return any(field == part or field.startswith(f"{part}/") for part in _PRICED_BY)
