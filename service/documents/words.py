"""Words and figures in the language of a document.

English text is the message itself; other languages stand in `locale/<language>/`: `documents.po`
for what the code says, `catalog.po` for texts of the catalog, whose figures are `{0}`, `{1}`, …
there. Figures keep all their digits; grouping and decimal sign are the language's (CLDR).
"""

from __future__ import annotations

import gettext
import io
import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING

from babel import Locale
from babel.dates import format_date
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import format_currency, format_decimal, get_currency_precision

if TYPE_CHECKING:
    from service.core.measure import UnitSetName
    from service.documents.tree import Language

# Digits that a figure may have after its point.
_MOST_PLACES = 12
_FIGURE = re.compile(r"\{[^{}]*\}|[0-9]+(?:\.[0-9]+)?")
_PLACE = re.compile(r"\{([0-9]+)\}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What a document says, in its language. Spanish writes figures as the US does where its
    measures are those of the US: there `1.500` would be read as one and a half."""

    language: Language
    units: UnitSetName = "us"

    def say(self, message: str, **figures: object) -> str:
        """A message with its figures."""
        return _filled(_messages(self.language, "documents").gettext(message), figures)

    def say_count(self, singular: str, plural: str, count: int, **figures: object) -> str:
        """A message by its count, which it may name as `{count}`."""
        found = _messages(self.language, "documents").ngettext(singular, plural, count)
        return _filled(found, {"count": self.figure(str(count)), **figures})

    def say_data(self, text: str) -> str:
        """A text of the catalog, as its translation has it; else as it stands."""
        return self.find_data(text) or text

    def find_data(self, text: str) -> str | None:
        """A text of the catalog, translated; None where it has no translation."""
        figures: list[str] = []

        def place(found: re.Match[str]) -> str:
            figures.append(found[0])
            return f"{{{len(figures) - 1}}}"

        message = _FIGURE.sub(place, text)
        found = _messages(self.language, "catalog").gettext(message)
        if found == message:
            return None
        return _PLACE.sub(lambda mark: figures[int(mark[1])], found)

    def figure(self, text: str) -> str:
        """A decimal with all its digits, grouped."""
        value = Decimal(text)
        places = min(_MOST_PLACES, max(0, -int(value.as_tuple().exponent)))
        pattern = "#,##0" + (f".{'0' * places}" if places else "")
        return str(format_decimal(value, format=pattern, locale=self._locale))

    def money(self, text: str, currency: str) -> str:
        """A sum with its currency, as people of that language write it."""
        value = Decimal(text)
        exact = max(-int(value.as_tuple().exponent), get_currency_precision(currency))
        pattern = str(self._locale.currency_formats["standard"].pattern)
        places = re.sub(r"0\.0+", "0" + (f".{'0' * exact}" if exact else ""), pattern)
        return str(
            format_currency(
                value, currency, format=places, locale=self._locale, currency_digits=False
            )
        )

    def money_marks(self, currency: str) -> tuple[str, str]:
        """What stands before and after the figure of a sum: `("$", "")`."""
        sum_of_one = self.money("1", currency)
        figure = re.search(r"[0-9].*[0-9]|[0-9]", sum_of_one)
        assert figure is not None  # noqa: S101  a sum has a figure
        return sum_of_one[: figure.start()], sum_of_one[figure.end() :]

    def day(self, text: str) -> str:
        """A date, ISO 8601, written out."""
        return str(format_date(date.fromisoformat(text), format="long", locale=self._locale))

    def share(self, text: str) -> str:
        """A ratio as a percentage with all its digits: `0.075` is `7.5 %`."""
        return f"{self.figure(f'{(Decimal(text) * 100).normalize():f}')} %"

    @property
    def _locale(self) -> Locale:
        return _locale("es_US" if self.language == "es" and self.units == "us" else self.language)


def words_of(language: Language, units: UnitSetName = "us") -> Words:
    """The words of a language, beside measures of a unit set."""
    return Words(language=language, units=units)


def msgid(message: str) -> str:
    """A message that is said later: it is marked, so that translators find it."""
    return message


def _filled(text: str, figures: dict[str, object]) -> str:
    """A message with its figures, which are never looked into: only names in braces are marks."""
    return re.sub(r"\{([a-z_]+)\}", lambda mark: str(figures[mark[1]]), text)


@lru_cache(maxsize=4)
def _locale(name: str) -> Locale:
    return Locale.parse(name)


@lru_cache(maxsize=8)
def _messages(language: Language, domain: str) -> gettext.NullTranslations:
    """The translations of a language; English says the messages as they stand."""
    if language == "en":
        return gettext.NullTranslations()
    source = files("service.documents") / "locale" / language / f"{domain}.po"
    compiled = io.BytesIO()
    write_mo(compiled, read_po(io.BytesIO(source.read_bytes()), locale=language))
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)
