"""Query parameters of lists and exports of saved quotes: what is asked of a quote."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from datetime import date, datetime
from decimal import Decimal
from types import MappingProxyType
from typing import TypeVar

from service.api.operation import JsonSchema, Parameter
from service.api.parameters import DAY_SCHEMA, PRINTED, text
from service.api.problems import ParameterError
from service.core.quote_state import STATES, State
from service.fields import ID_PATTERN
from service.storage.quote_filter import OutState, QuoteFilter
from service.units import found

T = TypeVar("T")

_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_MONEY = re.compile(r"-?[0-9]{1,12}(?:\.[0-9]{1,4})?", re.ASCII)
_RATIO = re.compile(r"-?[0-9]{1,6}(?:\.[0-9]{1,4})?", re.ASCII)
_MOMENT = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt][0-9]{2}:[0-9]{2}:[0-9]{2}(?:\.[0-9]{1,9})?"
    r"(?:[Zz]|[+-][0-9]{2}:[0-9]{2})",
    re.ASCII,
)
_PAIR = re.compile(rf"({ID_PATTERN}):([^\x00-\x1f\x7f-\x9f]{{1,200}})")
_ID = re.compile(ID_PATTERN, re.ASCII)
_CURRENCY = re.compile(r"[A-Z]{3}", re.ASCII)
_NUMBER = re.compile(r"[1-9][0-9]{0,8}", re.ASCII)
_TEXT = re.compile(r"[^\x00-\x1f\x7f-\x9f]{1,200}")
_FLAG = re.compile("true|false")

_DAY = ("2026-05-04", DAY_SCHEMA)
_SUM = ("1200.00", {"type": "string", "pattern": f"^{_MONEY.pattern}$"})
_PART = ("0.12", {"type": "string", "pattern": f"^{_RATIO.pattern}$"})
_INSTANT = ("2026-05-04T08:00:00Z", {"type": "string", "format": "date-time"})


def read_filter(given: Mapping[str, str]) -> QuoteFilter:
    """What the parameters ask of a quote. Raises ProblemError for the first that can't be read."""
    return QuoteFilter(
        references=_read(given, "reference", lambda text: (_text(text),)),
        title=_read(given, "title", _text),
        states=_read(given, "state", _states),
        out_states=_read(given, "out_state", lambda text: _words(OUT_WORDS, text)),
        draft=_read(given, "draft", _flag),
        currency=_read(given, "currency", lambda text: _matched(_CURRENCY, text)),
        price_list=_read(given, "price_list", lambda text: _matched(_ID, text)),
        price_list_revision=_read(
            given, "price_list_revision", lambda text: int(_matched(_NUMBER, text))
        ),
        issued_from=_read(given, "issued_from", _date),
        issued_to=_read(given, "issued_to", _date),
        valid_until_from=_read(given, "valid_until_from", _date),
        valid_until_to=_read(given, "valid_until_to", _date),
        total_from=_read(given, "total_from", _money),
        total_to=_read(given, "total_to", _money),
        margin_from=_read(given, "margin_from", _ratio),
        margin_to=_read(given, "margin_to", _ratio),
        customer=_read(given, "customer", _text),
        metadata=_read(given, "metadata", _pairs) or (),
        updated_from=_read(given, "updated_from", lambda text: _moment(text, up=True)),
        updated_to=_read(given, "updated_to", lambda text: _moment(text, up=False)),
        created_from=_read(given, "created_from", _date),
        created_to=_read(given, "created_to", _date),
    )


def read_view(given: Mapping[str, str]) -> bool:
    """Whether the full view is asked for. Raises ProblemError."""
    if given.get("view", "summary") not in {"summary", "full"}:
        message = f"view: {found(given['view'])} is neither summary nor full"
        raise ParameterError("view", message)
    return given.get("view") == "full"


def _filter(name: str, words: str, example: str, schema: JsonSchema) -> Parameter:
    return Parameter(
        name=name,
        within="query",
        description=f"{words}, such as `{example}`.",
        schema=schema,
        component="".join(word.capitalize() for word in name.split("_")),
    )


OUT_WORDS: tuple[OutState, ...] = ("issued", "accepted", "declined", "none")
FILTERS = (
    _filter(
        "reference",
        "The quote with this reference",
        "job-0042",
        {**text(1, 200), "pattern": f"^{PRINTED}*$"},
    ),
    _filter(
        "title",
        "Quotes with this in their title, in upper or lower case",
        "driveway",
        {**text(1, 200), "pattern": f"^{PRINTED}*$"},
    ),
    _filter(
        "state",
        f"Quotes in one of these states ({', '.join(STATES)})",
        "draft",
        {"type": "array", "items": {"type": "string", "enum": list(STATES)}},
    ),
    _filter(
        "out_state",
        "Quotes of which the revision that the customer has in hand is in one of these states, "
        "`none` where nothing is out; what else is asked, is asked of that revision",
        "issued",
        {"type": "array", "items": {"type": "string", "enum": list(OUT_WORDS)}},
    ),
    _filter(
        "draft",
        "Quotes with a draft, or without; what else is asked, is asked of the draft unless "
        "`out_state` is given: `true` or `false`",
        "true",
        {"type": "boolean"},
    ),
    _filter(
        "currency", "Quotes in this currency", "USD", {"type": "string", "pattern": "^[A-Z]{3}$"}
    ),
    _filter(
        "price_list",
        "Quotes priced from this list",
        "demo_2026",
        {"type": "string", "pattern": f"^{ID_PATTERN}$"},
    ),
    _filter(
        "price_list_revision",
        "Quotes priced from this revision",
        "3",
        {"type": "integer", "minimum": 1, "maximum": 999_999_999},
    ),
    _filter("issued_from", "Quotes dated on this day or later", *_DAY),
    _filter("issued_to", "Quotes dated on this day or earlier", *_DAY),
    _filter("valid_until_from", "Quotes that hold until this day or longer", *_DAY),
    _filter("valid_until_to", "Quotes that hold until this day and no longer", *_DAY),
    _filter("total_from", "Quotes whose total is this or more", *_SUM),
    _filter("total_to", "Quotes whose total is this or less", *_SUM),
    _filter("margin_from", "Quotes whose margin is this or more, a share", *_PART),
    _filter("margin_to", "Quotes whose margin is this or less, a share", *_PART),
    _filter("updated_from", "Quotes changed at this moment or later", *_INSTANT),
    _filter("updated_to", "Quotes changed at this moment or earlier", *_INSTANT),
    _filter(
        "customer",
        "Quotes with this in the customer's name, company or e-mail address, in any case",
        "smith",
        {"type": "string", "minLength": 1, "maxLength": 200},
    ),
    _filter(
        "metadata",
        "Quotes with this under a key of their metadata; several must all be there",
        "crm_id:4711",
        {"type": "array", "items": {"type": "string", "pattern": "^[a-z0-9_]{1,64}:"}},
    ),
    _filter("created_from", "Quotes saved on this day (of `SERVICE_TIME_ZONE`) or later", *_DAY),
    _filter("created_to", "Quotes saved on this day (of `SERVICE_TIME_ZONE`) or earlier", *_DAY),
)
# Filters that may be given several times, and what puts them together.
SEVERAL = MappingProxyType({"state": ",", "out_state": ",", "metadata": "\n"})
FILTER_NAMES = tuple(each.name for each in FILTERS)
VIEW = _filter(
    "view",
    "Whether items bring request and answer",
    "full",
    {"type": "string", "enum": ["summary", "full"]},
)
_HINTS = {each.name: each.description for each in FILTERS}


def _read(given: Mapping[str, str], name: str, read: Callable[[str], T]) -> T | None:
    if name not in given:
        return None
    try:
        return read(given[name])
    except ValueError:
        message = f"{name}: {found(given[name])} can't be read"
        raise ParameterError(name, message, _HINTS[name]) from None


def _matched(pattern: re.Pattern[str], text: str) -> str:
    if not pattern.fullmatch(text):
        raise ValueError(text)
    return text


def _text(text: str) -> str:
    return _matched(_TEXT, text)


def _date(text: str) -> date:
    return date.fromisoformat(_matched(_DATE, text))


def _money(text: str) -> Decimal:
    return Decimal(_matched(_MONEY, text))


def _ratio(text: str) -> Decimal:
    return Decimal(_matched(_RATIO, text))


def _moment(text: str, *, up: bool) -> int:
    """A moment of RFC 3339 in whole seconds, inside the bound."""
    seconds = datetime.fromisoformat(_matched(_MOMENT, text).upper()).timestamp()
    return math.ceil(seconds) if up else math.floor(seconds)


def _pairs(text: str) -> tuple[tuple[str, str], ...]:
    """Pairs of key and value, each on a line of its own."""
    found = [_PAIR.fullmatch(line) for line in text.split("\n")]
    pairs = tuple((each[1], each[2]) for each in found if each is not None)
    if len(pairs) != len(found):
        raise ValueError(text)
    return pairs


def _states(text: str) -> tuple[State, ...]:
    return _words(STATES, text)


def _words(known: tuple[T, ...], text: str) -> tuple[T, ...]:
    """Words of a list, each once; a parameter that is given several times comes with commas."""
    words = text.split(",")
    found = tuple(word for word in known if word in words)
    if len(found) != len(words):
        raise ValueError(text)
    return found


def _flag(text: str) -> bool:
    return {"true": True, "false": False}[_matched(_FLAG, text)]
