"""Strict JSON: one reading of a text, or a refusal that says where and why; and what was read,
written again.

Stock readers take a key given twice, NaN, numbers that overflow, half a surrogate pair and any
depth; each of them later becomes a wrong value or a crash. Decimals stay exact.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from itertools import chain
from typing import Any, Final, NoReturn

import msgspec

DEEPEST = 32
LONGEST_INT = 18
LONGEST_NUMBER = 40
LARGEST_EXPONENT = 30
LONGEST_EXPONENT_TEXT = 4
SHOWN_CHARACTERS = 40
# Numbers stay as they were written, and keys in their order: so a request can be asked again.
_AS_RECEIVED = msgspec.json.Encoder(decimal_format="number")
_SURROGATE = re.compile("[\ud800-\udfff]")
_BRACKETS = bytes.maketrans(b"{}", b"[]")
_HOLDERS: Final = frozenset({dict, list})


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """How much a document may have: `values` in all, itself, lists and objects included, and
    `items` in one list or object. Up to `slack` times as many values are read nevertheless, so
    that whoever reads the document can say where they are too many."""

    values: int
    items: int
    slack: int = 1


class JsonTextInvalidError(ValueError):
    """Text that isn't strict JSON: a stable kebab-case `code` and a sentence."""

    def __init__(self, code: str, message: str) -> None:
        self.code = code
        self.message = message
        super().__init__(message)


def loads(data: bytes, bounds: Bounds | None = None) -> object:
    """The document in `data`, UTF-8 without a byte order mark; numbers with a point or an
    exponent as Decimal. Far more values than the bounds have are refused before any is read; that
    no list is too long is left to who reads the document.

    Raises JsonTextInvalidError and nothing else. How large a text may be is the caller's affair;
    the time taken grows with its length alone.
    """
    if bounds is not None:
        _refuse_number(data, bounds)
    text = _decoded(data)
    try:
        document: object = _DECODER.decode(text)
    except json.JSONDecodeError as error:
        message = f"this is not JSON: {_wrong(error)} at line {error.lineno}, column {error.colno}"
        raise JsonTextInvalidError("json-invalid", message) from None
    except RecursionError:
        raise _too_deep() from None
    if "\\u" in text:  # else no string can hold what is refused
        _refuse_texts(document)
    _refuse_depth(document)
    return document


def as_received(document: object) -> bytes:
    """A document in the fewest bytes: its keys in their order, its numbers as they were written."""
    return _AS_RECEIVED.encode(document)


def _refuse_number(data: bytes, bounds: Bounds) -> None:
    """Count what commas part and brackets hold, first with those within strings. A key costs
    more than a value, and there is no slack for it."""
    if sum(map(data.count, (b",", b"]", b"}"))) < bounds.values:
        return
    marks = _marks_in(data)
    # A comma is between two values; what is closed holds one more than it has commas, or none.
    values = 1 + marks.count(b",") + marks.count(b"]") - marks.count(b"[]")
    if values > bounds.slack * bounds.values or marks.count(b":") > bounds.values:
        message = (
            f"{values} values are too many: at most {bounds.values} are read in all, and at most "
            f"{bounds.items} in one list or table"
        )
        raise JsonTextInvalidError("too-long", message)


def _marks_in(data: bytes) -> bytes:
    """A text without spaces, each string a bare quote, each brace a bracket. A string that is never
    closed goes to the end; each byte is passed a few times, however many quotes there are."""
    parts = data.replace(b"\\\\", b"").replace(b'\\"', b"").split(b'"')[::2]
    return b'"'.join(parts).translate(_BRACKETS, b" \t\r\n")


def _wrong(error: json.JSONDecodeError) -> str:
    """What is wrong, in the words of whoever wrote the text."""
    before, after = error.doc[: error.pos].rstrip(), error.doc[error.pos :].lstrip()[:1]
    if not error.doc.strip():
        return "there is no body, send a JSON object; found nothing"
    if before.endswith(",") and after in {"}", "]"}:
        return "a comma with nothing behind it"
    if before[-1:] == "," and error.msg.startswith("Illegal trailing comma"):
        return "a comma with nothing behind it"
    if after == "'":
        return "keys and texts stand in double quotes, found a single one"
    return error.msg[:1].lower() + error.msg[1:].removesuffix(" at")


def _decoded(data: bytes) -> str:
    if data.startswith(b"\xef\xbb\xbf"):
        message = "the text begins with a byte order mark; send UTF-8 without one"
        raise JsonTextInvalidError("json-encoding", message)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        message = f"byte {error.start + 1} is not UTF-8; send the text as UTF-8"
        raise JsonTextInvalidError("json-encoding", message) from None


def _refuse_depth(document: object) -> None:
    """Level by level instead of by recursion, so that depth costs no stack."""
    level: list[object] = [document]
    for _ in range(DEEPEST + 1):
        held = held_in(level)
        if not held:
            return
        level = list(chain.from_iterable(held))
    raise _too_deep()


def _refuse_texts(document: object) -> None:
    """Keys and strings that hold what is no text."""
    level = [document]
    while level:
        below: list[object] = []
        for value in level:
            if isinstance(value, str):
                _refuse_text(value)
            elif isinstance(value, dict):
                below.extend(value)
                below.extend(value.values())
            elif isinstance(value, list):
                below.extend(value)
        level = below


def held_in(level: list[Any]) -> list[Collection[object]]:
    """What each list and object among some values of a document holds."""
    if _HOLDERS.isdisjoint(map(type, level)):
        return []
    return [
        value if type(value) is list else value.values()
        for value in level
        if type(value) in _HOLDERS
    ]


def _refuse_text(text: str) -> None:
    if "\0" in text:
        raise JsonTextInvalidError("json-text", "a string holds the character U+0000")
    if not text.isascii() and _SURROGATE.search(text):
        message = "a string holds half of a surrogate pair, which is no character"
        raise JsonTextInvalidError("json-text", message)


def _too_deep() -> JsonTextInvalidError:
    return JsonTextInvalidError("json-too-deep", f"nested more than {DEEPEST} levels deep")


def _to_object(pairs: list[tuple[str, object]]) -> dict[str, object]:
    document = dict(pairs)
    if len(document) != len(pairs):
        [(key, _)] = Counter(key for key, _ in pairs).most_common(1)
        message = f"the key {_shown(key)} is given twice in one object"
        raise JsonTextInvalidError("json-duplicate-key", message)
    return document


def _to_int(text: str) -> int:
    if len(text.lstrip("-")) > LONGEST_INT:
        message = f"the number {_shown(text)} has more than {LONGEST_INT} digits"
        raise JsonTextInvalidError("json-number", message)
    return int(text)


def _to_decimal(text: str) -> Decimal:
    if len(text) <= LONGEST_NUMBER and "e" not in text and "E" not in text:
        return Decimal(text)
    exponent = text.lower().partition("e")[2]
    # The exponent is bounded before it is used: 1E+999999 is short to write and long to count.
    if len(text) > LONGEST_NUMBER or len(exponent) > LONGEST_EXPONENT_TEXT:
        message = f"the number {_shown(text)} has more than {LONGEST_NUMBER} digits or overflows"
        raise JsonTextInvalidError("json-number", message)
    if abs(int(exponent or 0)) > LARGEST_EXPONENT:
        message = f"the number {_shown(text)} has an exponent beyond {LARGEST_EXPONENT}"
        raise JsonTextInvalidError("json-number", message)
    return Decimal(text)


def _refuse_constant(text: str) -> NoReturn:
    raise JsonTextInvalidError("json-number", f"{text} is not a number in JSON")


def _shown(text: str) -> str:
    return ascii(text[:SHOWN_CHARACTERS] + ("..." if len(text) > SHOWN_CHARACTERS else ""))


_DECODER = json.JSONDecoder(
    object_pairs_hook=_to_object,
    parse_int=_to_int,
    parse_float=_to_decimal,
    parse_constant=_refuse_constant,
)
