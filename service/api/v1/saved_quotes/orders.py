"""In which order lists of saved quotes stand, and where their pages begin."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from typing import Final

from service.api.parameters import one_word
from service.api.problems import ParameterError
from service.api.v1.pages import bad_cursor, cursor_of, read_cursor
from service.storage.quote_lists import After, Order, OrderBy
from service.units import found

KEYS: Final[tuple[OrderBy, ...]] = ("number", "updated_at", "valid_until", "total", "margin")
ORDERS: Final = {
    sign + key: Order(by=key, descending=bool(sign)) for key in KEYS for sign in ("-", "")
}
ORDER_BY = one_word(
    "order_by",
    "OrderBy",
    ORDERS,
    "What lists are ordered by, with a minus from the most to the least; left out, the newest come "
    "first. `total` compares minor units, whatever the currency.",
)
_PLACE = re.compile(r"(-?[0-9]{1,19}|[0-9]{4}-[0-9]{2}-[0-9]{2}|):([0-9]{1,18})", re.ASCII)
_NUMBER = re.compile(r"[0-9a-f]{16}", re.ASCII)
_MOST = 2**63


def read_order(given: Mapping[str, str]) -> Order:
    """The order that is asked for. Raises ProblemError."""
    asked = given.get("order_by", "-number")
    if asked not in ORDERS:
        near = difflib.get_close_matches(asked, ORDERS, 1)
        message = f"order_by: {found(asked)} is not one of {', '.join(ORDERS)}"
        raise ParameterError("order_by", message, f'did you mean "{near[0]}"?' if near else None)
    return ORDERS[asked]


def place_cursor(place: After) -> str:
    """The opaque cursor of the page after a place."""
    return cursor_of(f"{place.key}:{place.number}")


def read_place(given: Mapping[str, str], order: Order) -> After | None:
    """The place that a cursor stands for. Raises ProblemError."""
    parts = read_cursor(given, _PLACE)
    if parts is None:
        return None
    is_day = parts[1] == "" or parts[1][4:5] == "-"
    key = parts[1] if is_day else int(parts[1])
    is_held = is_day or -_MOST <= int(key) < _MOST
    if is_day != (order.by == "valid_until") or not is_held:
        raise bad_cursor(given["cursor"])
    return After(key=key, number=int(parts[2]))


def number_cursor(number: int) -> str:
    """The opaque cursor of the page after a revision's number."""
    return f"{number:016x}"


def read_number_cursor(given: Mapping[str, str]) -> int | None:
    """The number that a cursor stands for. Raises ProblemError."""
    cursor = given.get("cursor")
    if cursor is None:
        return None
    if not _NUMBER.fullmatch(cursor) or int(cursor, 16) >= _MOST:
        raise bad_cursor(cursor)
    return int(cursor, 16)
