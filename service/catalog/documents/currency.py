"""Currencies: ISO 4217 codes and the places of their minor units."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated

from babel.numbers import (
    get_currency_name,
    get_currency_precision,
    get_currency_symbol,
    list_currencies,
)

from service.fields import JsonObject, Reader, refused
from service.units import found

# Signs that several currencies share, by the word in their names.
_SHARED = {
    "$": ("Dollar", "Peso"),
    "£": ("Pound",),
    "¥": ("Yen", "Yuan"),
    "kr": ("Krone", "Krona", "Króna"),
    "zł": ("Zloty",),
    "Kč": ("Koruna",),
}


@lru_cache(maxsize=1)
def _known() -> frozenset[str]:
    return frozenset(list_currencies())


@dataclass(frozen=True, slots=True)
class Currency(Reader):
    """An ISO 4217 code that is known."""

    def read(self, value: object) -> str:
        """The code."""
        if not isinstance(value, str) or not re.fullmatch("[A-Z]{3}", value, re.ASCII):
            message = f"{found(value)} is not a currency"
            raise refused("currency-invalid", message, 'three capital letters, such as "USD"')
        if value not in _known():
            raise refused("currency-unknown", f"no currency is called {value}", "an ISO 4217 code")
        return value

    def schema(self) -> JsonObject:
        """Three capital letters."""
        return {
            "type": "string",
            "pattern": "^[A-Z]{3}$",
            "maxLength": 3,
            "description": "Currency, ISO 4217.",
            "examples": ["USD"],
        }


def minor_places(currency: str) -> int:
    """Places of a currency's minor unit, from Babel's data (CLDR)."""
    return get_currency_precision(currency)


CurrencyCode = Annotated[str, Currency()]


def is_currency(text: str) -> bool:
    """Whether a text is the code of a known currency."""
    return text in _known()


@lru_cache(maxsize=64)
def currencies_of(sign: str) -> frozenset[str]:
    """The currencies that a sign or a code may stand for (`€`, `$`, `CA$`, `EUR`), from Babel's
    data (CLDR); none for what is no currency."""
    if sign in _known():
        return frozenset({sign})
    if sign in _SHARED:
        words = _SHARED[sign]
        return frozenset(
            code
            for code in _known()
            if any(word in get_currency_name(code, locale="en").split() for word in words)
        )
    spoken = {"US$": "USD", "C$": "CAD", "AU$": "AUD"}
    if sign in spoken:
        return frozenset({spoken[sign]})
    return frozenset(code for code in _known() if get_currency_symbol(code, locale="en") == sign)
