"""What reads texts of strangers, each as a function of bytes that raises nothing.

A reader refuses in its own words, or gives a value that comes back when it is written and read
once more. Any other error is a fault.
"""

from __future__ import annotations

import csv
import io
import json
import math
import tempfile
from collections.abc import Callable
from contextlib import suppress
from decimal import Decimal
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import Final, TypeVar

from starlette.requests import Request

from service.api.problems import ParameterError
from service.api.storing import read_conditions
from service.api.v1.pages import read_page
from service.catalog.files import CatalogFile, FileUnreadableError, json_form, read_file
from service.catalog.kinds import KINDS
from service.core.errors import QuoteFaultsError
from service.json_text import JsonTextInvalidError, loads
from service.operations.conditions import etag_of
from service.operations.prices.csv_file import Encoding, read_csv
from service.operations.quoting.survey_text import COLUMNS, read_survey
from service.units.measure import parse_measure, publish_measure
from service.units.refusal import MeasurementInvalidError
from service.units.slope import parse_slope
from service.units.symbols import DIMENSIONS, READ
from tests.fuzzing.book import BOOKS, read_book
from tests.fuzzing.search import Target

T = TypeVar("T")
# All that reading a page asks of an application: no address of its own is set.
_APP: Final = SimpleNamespace(state=SimpleNamespace(public_url=""))
IDS: Final = ("clay", "loam", "sand_gravel")
ENCODINGS: Final[tuple[Encoding, ...]] = ("utf-8", "windows-1252", "utf-16")
CATALOG: Final = Path(__file__).resolve().parents[2] / "catalog"
# What broke readers elsewhere: ends, ranges, invisible letters, digits that are none.
EVIL: Final = tuple(
    word.encode("utf-8")
    for word in ("0", "9", "-", ".", "e", " ", "\0", "\n", "\t", "١", "²", "½", "\u200b", "\ufeff")
)


def read_measurement(data: bytes) -> None:
    """A measurement of any dimension: finite, and the same when it is written in SI and read."""
    text = data.decode("utf-8", "replace")
    for dimension in DIMENSIONS:
        with suppress(MeasurementInvalidError):
            value = parse_measure(text, dimension)
            assert math.isfinite(value)
            symbol = text.rpartition(" ")[2]
            if symbol in READ[dimension]:
                again = parse_measure(publish_measure(value, dimension, symbol), dimension)
                assert math.isclose(again, value, rel_tol=1e-3, abs_tol=1e-3)
    with suppress(MeasurementInvalidError):
        assert math.isfinite(parse_slope(text))


def _again(read: Callable[[], T]) -> T:
    """What is read a second time; to be refused then is a fault."""
    try:
        return read()
    except (QuoteFaultsError, JsonTextInvalidError) as error:
        raise AssertionError(f"is not read again: {error}") from error


def read_json(data: bytes) -> None:
    """A JSON document: the same once it is written and read again."""
    with suppress(JsonTextInvalidError):
        document = loads(data)
        assert _again(lambda: loads(_written(document).encode("utf-8"))) == document


def _written(document: object) -> str:
    """Decimals as they are: the standard writer has no word for them."""
    if isinstance(document, dict):
        parts = (f"{json.dumps(key)}:{_written(value)}" for key, value in document.items())
        return "{" + ",".join(parts) + "}"
    if isinstance(document, list):
        return "[" + ",".join(map(_written, document)) + "]"
    if isinstance(document, Decimal):
        return _number(document)
    return json.dumps(document)


def _number(value: Decimal) -> str:
    """A number with a point or an exponent within what is read, whichever digits it has."""
    sign, digits, exponent = value.as_tuple()
    assert isinstance(exponent, int)
    shift = 0 if abs(value.adjusted()) <= 30 else 30 if value.adjusted() > 0 else -30
    plain = f"{Decimal((sign, digits, exponent - shift)):f}"
    return f"{plain}e{shift}"


def read_toml(data: bytes) -> None:
    """A catalog file: values that JSON can hold, or a fault that names the file."""
    with tempfile.NamedTemporaryFile(suffix=".toml") as file:
        file.write(data)
        file.flush()
        with suppress(FileUnreadableError):
            tables, faults = read_file(CatalogFile(KINDS["soils"], Path(file.name), "x.toml"))
            assert all(fault.at[0] == "x.toml" for fault in faults)
            if not faults:
                json.dumps(json_form(tables))


def read_price_file(data: bytes) -> None:
    """A supplier's file in each encoding: the same cells once they are written and read again."""
    for encoding in ENCODINGS:
        for delimiter in (",", ";"):
            with suppress(QuoteFaultsError):
                sheet = read_csv(data, delimiter, encoding)
                assert len(sheet.rows) == len(sheet.lines)
                text = io.StringIO()
                csv.writer(text, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows(sheet.rows)
                made = b"\xef\xbb\xbf" + text.getvalue().encode("utf-8")
                again = _again(partial(read_csv, made, delimiter, "utf-8"))
                assert again.rows == sheet.rows


def read_cursor(data: bytes) -> None:
    """A page of a list: some of its ids, in order."""
    with suppress(ParameterError):
        ids, following = read_page(_request(query=data), IDS)
        assert list(ids) == [each for each in IDS if each in ids]
        assert following is None or following.startswith("/v1/soils?limit=")


def read_condition(data: bytes) -> None:
    """An `If-Match`: each tag as it was answered."""
    with suppress(ParameterError):
        for tag in read_conditions(_request(match=data)).if_match:
            strong = tag.removeprefix("W/")  # a weak one is read, and matches nothing
            assert etag_of(strong.strip('"')) == strong
            assert tag.encode("ascii") in data


def _request(query: bytes = b"", match: bytes = b"") -> Request:
    return Request(
        {
            "type": "http",
            "method": "GET",
            "path": "/v1/soils",
            "query_string": query,
            "headers": [(b"if-match", match)],
            "app": _APP,
        }
    )


def read_points(data: bytes) -> None:
    """Points of a survey: finite, and the same when they are written as columns and read."""
    with suppress(QuoteFaultsError):
        survey = read_survey(data.decode("utf-8", "replace"), COLUMNS, "m")
        rows = [
            f"{point.number},{point.northing_m:.20f},{point.easting_m:.20f},"
            f"{point.elevation_m:.20f},{point.description}"
            for point in survey.points
        ]
        again = _again(lambda: read_survey("\n".join(rows), COLUMNS, "m"))
        assert [_place(point) for point in again.points] == [
            _place(point) for point in survey.points
        ]


def _place(point: object) -> tuple[object, ...]:
    names = ("number", "northing_m", "easting_m", "elevation_m", "description")
    return tuple(getattr(point, name) for name in names)


def _target(read: Callable[[bytes], None], seeds: tuple[bytes, ...], words: str) -> Target:
    return Target(read=read, seeds=seeds, words=(*EVIL, *words.encode("utf-8").split(b"|")))


TARGETS: Final = {
    "measurement": _target(
        read_measurement,
        (b"4 ft 6 in", b"7 1/8 in", b"1.5 m", b"125 pcf", b"30 deg", b"1:8", b"-2 ft"),
        " ft| in|1/2|63/64| yd3| kg/m3| lb/ft3|'|\"|,|_|/|inf|nan|999999999999| to |%|:1",
    ),
    "json": _target(
        read_json,
        (
            b'{"a": [1, -2.50, true, null, "x\\u00e9"], "b": {}}',
            b"[1e5, 1E-30, 999999999999999999999999999999e9]",
            b'""',
        ),
        '{|}|[|]|"|:|,|\\u|\\ud800|\\u0000|NaN|1e400|true|null|{"a":|[[',
    ),
    "toml": _target(
        read_toml,
        tuple((CATALOG / "soils" / f"{name}.toml").read_bytes()[:900] for name in IDS),
        "[|]|[[|]]|=|'''|\"\"\"|nan|inf|1e400|1979-05-27|07:32:00|{|}|a.b|a = [|#|\\u0000|0x",
    ),
    "csv": _target(
        read_price_file,
        (b"item,unit_cost,per\nblock,1.25,each\n", b'a;"b ""c""";d\r\n', "ä,1\n".encode("cp1252")),
        ',|;|"|""|\r|\r\n|","|=1+1|\ufffe',
    ),
    "cursor": _target(
        read_cursor, (b"limit=2", b"limit=1&cursor=636c6179"), "limit=|cursor=|&|=|%|%00|+|201|00|;"
    ),
    "if-match": _target(
        read_condition,
        (b'"' + b"0a" * 32 + b'"', b'"' + b"f" * 64 + b'", *', b'W/""'),
        '"|W/|*|,|a|, |""',
    ),
    "points": _target(
        read_points,
        (b"P,N,E,Z,D\n1,0,0,1.5,a\n2,10,0,2,b\n3,0,10,3,c\n", b"1 0 0 1\n2 5.5 0 2\n3 0 5 3\n"),
        ",|.|+|#|1,|99999999999|north|point|\r|\u2028|\x1f|\xa0|.5",
    ),
    "workbook": _target(
        read_book,
        BOOKS,
        '<|>|="|"|/>|<row r="|<c r="|A1|XFD1048576|t="s"|t="b"|t="e"|t="d"| hidden="1"|<v>|</v>'
        '|rId1|</row>|</c>|1e999|&amp;|&x;|<!--|<![CDATA[|]]>|xmlns="|:|r="0"|r="-1"|min="0"|max="99999"'
        "|[$€-407]|%|Target|PK\x01\x02|PK\x03\x04|\xff\xff\xff\xff",
    ),
}
