"""Strict JSON: what is read, what is refused with which code, and that nothing else is raised."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.json_text import DEEPEST, Bounds, JsonTextInvalidError, loads
from tests.given.work import least_work

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work


def _refusal(data: bytes) -> JsonTextInvalidError:
    with pytest.raises(JsonTextInvalidError) as caught:
        loads(data)
    return caught.value


def test_loads_keeps_decimals_exact() -> None:
    """Numbers with a point or an exponent are Decimal, digit for digit; whole ones are int."""
    document = loads(b'{"a": 1.20, "b": [7, -0.1, 1e3], "c": "\xc3\xa9\\ud83d\\ude00", "d": null}')
    assert document == {
        "a": Decimal("1.20"),
        "b": [7, Decimal("-0.1"), Decimal("1E+3")],
        "c": "é😀",
        "d": None,
    }
    assert str(loads(b"1.20")) == "1.20"


REFUSED = {
    "utf-16": ("json-encoding", '{"a": 1}'.encode("utf-16")),
    "latin-1": ("json-encoding", b'"\xe9"'),
    "surrogate in utf-8": ("json-encoding", b'"\xed\xa0\x80"'),
    "byte order mark": ("json-encoding", b"\xef\xbb\xbf{}"),
    "key given twice": ("json-duplicate-key", b'{"a": 1, "b": 2, "a": 1}'),
    "key given twice, escaped": ("json-duplicate-key", b'{"a": 1, "\\u0061": 1}'),
    "key given twice, deep": ("json-duplicate-key", b'[{"x": {"a": 1, "a": 2}}]'),
    "not a number": ("json-number", b"NaN"),
    "infinity": ("json-number", b'{"a": Infinity}'),
    "minus infinity": ("json-number", b"[-Infinity]"),
    "overflow": ("json-number", b"1e400"),
    "underflow": ("json-number", b"1e-400"),
    "long exponent": ("json-number", b"1E+999999999999999999999999"),
    "19 digits": ("json-number", b"1234567890123456789"),
    "-19 digits": ("json-number", b"-1234567890123456789"),
    "4,000 digits": ("json-number", b"9" * 4_000),
    "5,000 digits": ("json-number", b"9" * 5_000),
    "100,000 digits": ("json-number", b"9" * 100_000),
    "41 characters of decimal": ("json-number", b"0." + b"1" * 39),
    "half a surrogate pair": ("json-text", b'"\\ud800"'),
    "half a surrogate pair in a key": ("json-text", b'{"\\udfff": 1}'),
    "pair the wrong way round": ("json-text", b'"\\ude00\\ud83d"'),
    "null character": ("json-text", b'["\\u0000"]'),
    "null character in a key": ("json-text", b'{"a\\u0000": 1}'),
    "33 deep": ("json-too-deep", b"[" * 33 + b"]" * 33),
    "900 deep": ("json-too-deep", b"[" * 900 + b"]" * 900),
    "5,000 deep": ("json-too-deep", b"[" * 5_000),
    "500,000 deep": ("json-too-deep", b"[" * 500_000),
    "33 objects deep": ("json-too-deep", b'{"a":' * 33 + b"1" + b"}" * 33),
    "5,000 objects deep": ("json-too-deep", b'{"a":' * 5_000),
    "empty": ("json-invalid", b""),
    "blank": ("json-invalid", b" \n"),
    "cut off": ("json-invalid", b'{"a": '),
    "two documents": ("json-invalid", b"{} {}"),
    "comment": ("json-invalid", b"{} // why"),
    "comma at the end": ("json-invalid", b"[1,]"),
    "single quotes": ("json-invalid", b"{'a': 1}"),
    "leading zero": ("json-invalid", b"01"),
    "plus": ("json-invalid", b"+1"),
    "line end in a string": ("json-invalid", b'"a\nb"'),
    "null byte": ("json-invalid", b"\x00"),
    "bare word": ("json-invalid", b"nan"),
}

MANY_NUMBERS = b"[" + b"1," * 99_999 + b"1]"


@pytest.mark.parametrize(("code", "data"), REFUSED.values(), ids=REFUSED)
def test_loads_refuses_with_a_code(code: str, data: bytes) -> None:
    """What stock readers take or choke on is refused, in less time than 100,000 numbers take."""
    error = _refusal(data)
    assert error.code == code
    assert len(error.message) < 200
    assert error.message.isprintable()
    assert least_work(lambda: _refusal(data)) < least_work(lambda: loads(MANY_NUMBERS))


@pytest.mark.parametrize(
    ("data", "values"),
    [
        (b"[1,2,3]", 4),
        (b'{"a":1,"b":[1,{"c":2}]}', 6),
        (b'["1,2,3,4,5\\",6",2,3]', 4),
        (b'["]]]]", "[[[[", "{},{}"]', 4),
        (b'["\\\\",[],{ },[\n]]', 5),
        (b'[" ", [""]]', 4),
        (b"[[[[]]]]", 4),
        (b"[[[],[]],[[],[]]]", 7),
        (b'{"a":{"":{"b":null}}}', 4),
    ],
)
def test_loads_counts_the_values_of_a_text(data: bytes, values: int) -> None:
    """Lists and objects are values, too; what stands within strings is none. As many as are asked
    for are read, one more is refused."""
    assert loads(data, Bounds(values=values, items=values)) == loads(data)
    with pytest.raises(JsonTextInvalidError, match=f"^{values} values are too many") as caught:
        loads(data, Bounds(values=values - 1, items=values))
    assert caught.value.code == "too-long"


@pytest.mark.parametrize(
    ("data", "most"),
    [
        (b"[1,2,3,4", 3),
        (b'["1,2,3,4,5\\\\",2,3,4]', 3),
        (b'["a",b,never closed', 1),
    ],
)
def test_loads_counts_values_before_it_reads_any(data: bytes, most: int) -> None:
    """More values than are asked for are refused, whatever else is wrong."""
    with pytest.raises(JsonTextInvalidError) as caught:
        loads(data, Bounds(values=most, items=most))
    assert caught.value.code == "too-long"


@pytest.mark.parametrize(
    ("data", "is_read"),
    [
        (b"[0,0,0,0,0]", True),
        (b"[0,0,0,0,0,0]", False),
        (b'{"a":0,"b:":0,"c":[]}', False),
        (b'{"a":0,"b:":["::",0,0]}', True),
    ],
)
def test_loads_leaves_slack_for_who_says_where(data: bytes, *, is_read: bool) -> None:
    """With a slack of 3, up to three times as many values are read as may be, so that the place
    where they are too many can be told; never more keys than values may be."""
    bounds = Bounds(values=2, items=2, slack=3)
    if is_read:
        assert loads(data, bounds) == loads(data)
        return
    with pytest.raises(JsonTextInvalidError, match="at most 2 are read in all") as caught:
        loads(data, bounds)
    assert caught.value.code == "too-long"


def test_loads_says_how_many_values_may_be() -> None:
    """The refusal has what was found, and both bounds."""
    with pytest.raises(JsonTextInvalidError) as caught:
        loads(b"[0,0,0]", Bounds(values=3, items=2))
    assert caught.value.message == (
        "4 values are too many: at most 3 are read in all, and at most 2 in one list or table"
    )


@pytest.mark.parametrize("piece", [b",", b'\\",', b"\\\\,", b"\\u002c,"])
@pytest.mark.parametrize("end", [b"", b"\\"])
def test_loads_counts_no_comma_of_a_string_that_is_never_closed(piece: bytes, end: bytes) -> None:
    """A string of a million bytes without its last quote is passed over, commas and all: to look
    for an end behind each quote in it would take an hour."""
    data, code = b'{"a":"' + piece * (1_000_000 // len(piece)) + end, None
    try:
        loads(data, Bounds(values=1_000, items=1_000))
    except JsonTextInvalidError as error:  # told shortly: the text is long
        code = error.code
    assert code == "json-invalid"


def test_loads_says_where_the_text_breaks() -> None:
    """Broken JSON is reported by line and column, and a double key by its name."""
    assert "line 2, column 7" in _refusal(b'{"a": 1,\n "b": tru}').message
    assert "'a'" in _refusal(b'{"a": 1, "a": 2}').message


def test_loads_takes_the_deepest_that_is_allowed() -> None:
    """32 levels are read, whatever stands in them."""
    lists = b"[" * DEEPEST + b"]" * DEEPEST
    assert json.dumps(loads(lists)) == lists.decode()
    mixed = b'{"a":[' * (DEEPEST // 2) + b'"[[[{{{"' + b"]}" * (DEEPEST // 2)
    assert json.dumps(loads(mixed), separators=(",", ":")) == mixed.decode()


def test_loads_takes_the_largest_numbers_that_are_allowed() -> None:
    """18 digits and forty characters of decimal are read."""
    assert loads(b"-999999999999999999") == -(10**18) + 1
    assert loads(b"0." + b"1" * 38) == Decimal("0." + "1" * 38)


NUMBERS = r"-?(0|[1-9][0-9]{0,17})(\.[0-9]{1,18})?([eE][+-]?[12]?[0-9])?"


@given(number=st.from_regex(NUMBERS, fullmatch=True))
def test_loads_reads_numbers_digit_for_digit(number: str) -> None:
    """A number with a point or an exponent is the Decimal of its text, any other one an int."""
    kind = Decimal if set(number) & set(".eE") else int
    read = loads(number.encode("ascii"))
    assert type(read) is kind
    assert str(read) == str(kind(number))


DOCUMENTS = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**18) + 1, 10**18 - 1)
    | st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=9),
            inner,
            max_size=4,
        )
    ),
    max_leaves=20,
)


@given(document=DOCUMENTS, ascii_only=st.booleans())
def test_loads_reads_every_sound_document(document: object, *, ascii_only: bool) -> None:
    """Whatever JSON can write within the limits comes back as it was."""
    text = json.dumps(document, ensure_ascii=ascii_only)
    assert loads(text.encode("utf-8")) == document


def _values(document: object) -> int:
    """How many values a document has, itself included."""
    held: Iterable[object] = ()
    if isinstance(document, (dict, list)):
        held = document.values() if isinstance(document, dict) else document
    return 1 + sum(map(_values, held))


@given(document=DOCUMENTS, ascii_only=st.booleans(), indent=st.sampled_from([None, 0, 2]))
def test_loads_counts_the_values_of_every_sound_document(
    document: object, *, ascii_only: bool, indent: int | None
) -> None:
    """As many values are read as are asked for, whatever strings hold; one more is refused."""
    data = json.dumps(document, ensure_ascii=ascii_only, indent=indent).encode("utf-8")
    values = _values(document)
    assert loads(data, Bounds(values=values, items=values)) == document
    if values > 1:
        with pytest.raises(JsonTextInvalidError, match=f"^{values} values are too many"):
            loads(data, Bounds(values=values - 1, items=values))


BROKEN = st.one_of(
    st.binary(max_size=60),
    st.text(alphabet='{}[]",:0123456789eE+-.ntfrua\\ud8 \n', max_size=60).map(str.encode),
    st.tuples(DOCUMENTS, st.integers(0, 60), st.binary(max_size=3)).map(
        lambda parts: (
            json.dumps(parts[0]).encode()[: parts[1]]
            + parts[2]
            + json.dumps(parts[0]).encode()[parts[1] :]
        )
    ),
)


@given(data=BROKEN)
def test_loads_raises_nothing_else(data: bytes) -> None:
    """Any bytes are read or refused with the one error, and what is read is sound."""
    try:
        document = loads(data)
    except JsonTextInvalidError:
        return
    standard = json.loads(data.decode("utf-8"))
    assert _as_floats(document) == _as_floats(standard)


def _as_floats(value: object) -> object:
    if isinstance(value, dict):
        return {key: _as_floats(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [_as_floats(entry) for entry in value]
    if isinstance(value, (Decimal, float)):
        assert math.isfinite(value)
        return float(value)
    return value
