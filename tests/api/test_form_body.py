"""Bodies of forms without script: read as a browser writes them, refused where none would."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import urlencode

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from starlette.testclient import TestClient

from service.api.form_body import FORM, parse_form, read_form
from service.api.problems import ProblemError, response_for

AS_FORM = {"Content-Type": FORM}
# What is sent and a word of what is said of it.
REFUSED: dict[str, tuple[bytes, str]] = {
    "part without =": (b"length=40&height", "browser"),
    "empty part": (b"length=40&&height=3", "browser"),
    "bare %": (b"length=40%", "browser"),
    "one digit": (b"length=4%2", "browser"),
    "no hexadecimal": (b"length=%zz", "browser"),
    "Latin-1": (b"wish=caf%E9", "UTF-8"),
    "half a surrogate": (b"wish=%ED%A0%80", "UTF-8"),
    "bytes beyond ASCII": ("wish=café".encode(), "browser"),
    "U+0000": (b"wish=a%00b", "U+0000"),
    "U+0000 in a name": (b"wi%00sh=a", "U+0000"),
    "field twice": (b"length=40&length=41", "twice"),
    "field twice, escaped": (b"length=40&l%65ngth=41", "twice"),
    "65 fields": (urlencode({f"f{n}": n for n in range(65)}).encode(), "browser"),
    "name of 65": (b"n" * 65 + b"=1", "64 characters"),
    "value of 4,001": (b"wish=" + b"w" * 4001, "4000 characters"),
}


@pytest.fixture(scope="module")
def caller() -> Iterator[TestClient]:
    """A client of an application that answers with the fields it read."""

    async def answer(request: Request) -> Response:
        try:
            return JSONResponse(await read_form(request))
        except ProblemError as error:
            return response_for(error)

    app = Starlette(routes=[Route("/", answer, methods=["POST"])])
    with TestClient(app) as client:
        yield client


def test_form_is_read_as_a_browser_writes_it(caller: TestClient) -> None:
    """Plus is a space, escapes are UTF-8, a field may be empty, a line ends in one sign."""
    body = "length=40&wish=two+steps%2C+a+caf%C3%A9%0D%0Aand+100%25+level&post_code="
    answer = caller.post("/", content=body, headers=AS_FORM)
    assert answer.json() == {
        "length": "40",
        "wish": "two steps, a café\nand 100% level",
        "post_code": "",
    }
    assert caller.post("/", content="", headers=AS_FORM).json() == {}


@pytest.mark.parametrize("case", REFUSED)
def test_form_refuses_what_no_browser_sends(case: str) -> None:
    """A body that a page's form can't have sent is malformed, and what is wrong is said."""
    body, word = REFUSED[case]
    with pytest.raises(ProblemError) as refused:
        parse_form(body)
    assert refused.value.code == "request-malformed"
    assert word in str(refused.value.detail)


def test_form_bears_what_just_fits() -> None:
    """64 fields, a name of 64 and a text of 4,000 characters are taken, whatever they weigh."""
    fields = {f"f{n}": str(n) for n in range(62)}
    fields |= {"n" * 64: "1", "wish": "é" * 4000}
    assert parse_form(urlencode(fields).encode()) == fields


@pytest.mark.parametrize(
    "media_type",
    [
        "application/json",
        "multipart/form-data; boundary=x",
        "text/plain",
        f"{FORM}; charset=cp1252",
    ],
)
def test_form_takes_no_other_type(media_type: str, caller: TestClient) -> None:
    """Only the type of a plain form, in UTF-8, is taken."""
    headers = {"Content-Type": media_type}
    assert caller.post("/", content="a=1", headers=headers).status_code == 415
    packed = {**AS_FORM, "Content-Encoding": "gzip"}
    assert caller.post("/", content="a=1", headers=packed).status_code == 415
    answer = caller.post("/", content="a=1", headers={"Content-Type": f"{FORM};charset=UTF-8"})
    assert answer.json() == {"a": "1"}


def test_form_larger_than_a_page_has_is_not_read(caller: TestClient) -> None:
    """Beyond 64 KiB a body is refused whatever is in it; up to there its fields decide."""
    fits = b"a=1".ljust(64 * 1024, b"&")
    assert caller.post("/", content=fits, headers=AS_FORM).status_code == 400
    assert caller.post("/", content=fits + b"&", headers=AS_FORM).status_code == 413


@settings(max_examples=50)
@given(st.binary(max_size=200))
def test_form_reads_or_refuses_whatever_comes(body: bytes) -> None:
    """Any bytes are read as texts, or refused as malformed."""
    try:
        fields = parse_form(body)
    except ProblemError as error:
        fields = {}
        assert error.code == "request-malformed"  # noqa: PT017  most of what comes is refused
    assert parse_form(urlencode(fields).encode()) == fields
