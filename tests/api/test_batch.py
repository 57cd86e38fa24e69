"""`POST /v1/quotes/batch`: each line answered as it would be alone, and when it is answered."""

import json
import logging
from dataclasses import replace
from typing import Any

import jsonschema
import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from service.api import quoting
from service.api.bodies import MAX_BODY_BYTES
from service.operations.quoting.quote import PreparedQuote, prepare_document
from tests.given.batch_caller import NDJSON, PATH
from tests.given.problem_checks import assert_problem
from tests.given.quote_requests import Json, level_wall, shipped_request

REQUEST = shipped_request(reference="job-0042")
SOUND = json.dumps(REQUEST).encode()
JSON = {"Content-Type": "application/json", "X-Request-ID": "of-a-batch"}
# What is sent on a line, and what a single call answers to it.
LINES: dict[str, bytes] = {
    "sound": SOUND,
    "without reference": json.dumps(shipped_request()).encode(),
    "metric, umlauts": json.dumps(
        {**shipped_request(level_wall("12 m", "1 m")), "units": "metric", "reference": 'ü "1"\n'}
    ).encode(),
    "broken JSON": b'{"units": ',
    "not UTF-8": b'{"units": "\xff"}',
    "byte order mark": b"\xef\xbb\xbf" + SOUND,
    "key given twice": b'{"units": "us", "units": "us"}',
    "no object": b"[]",
    "faults of shape": b'{"units": "usa", "titel": "x"}',
    "unknown price list": json.dumps({**REQUEST, "prices": {"price_list": "demo_2062"}}).encode(),
    "faults of layout": json.dumps(shipped_request(level_wall(exposed="400 ft"))).encode(),
}


def post(client: TestClient, body: bytes, **headers: str) -> Response:
    """A batch of lines, posted."""
    sent = {"Content-Type": NDJSON, "X-Request-ID": "of-a-batch", **headers}
    return client.post(PATH, content=body, headers=sent)


def lines_of(response: Response) -> list[Json]:
    """The lines of an answer; they are ended by line breaks."""
    assert response.status_code == 200
    assert response.headers["content-type"] == NDJSON
    assert response.content.endswith(b"}\n")
    return [json.loads(line) for line in response.content.splitlines()]


@pytest.mark.parametrize("name", LINES)
def test_quote_batch_answers_a_line_as_a_single_call(client: TestClient, name: str) -> None:
    """The quote or problem of a line is that of `POST /v1/quotes`, byte for byte."""
    alone = client.post("/v1/quotes", content=LINES[name], headers=JSON)
    first, end = post(client, LINES[name] + b"\n").content.splitlines()
    line = json.loads(first)
    kind = "quote" if alone.status_code == 200 else "problem"
    head = {"line": 1, "status": alone.status_code}
    if kind == "quote" and "reference" in alone.json():
        head = {"line": 1, "reference": alone.json()["reference"], "status": 200}
    assert list(line) == [*head, kind]
    assert {key: line[key] for key in head} == head
    assert first.endswith(f'"{kind}":'.encode() + alone.content + b"}")
    failed = int(alone.status_code != 200)
    assert end == b'{"end":true,"lines":1,"failed":%d}' % failed


def test_quote_batch_answers_in_order_by_the_line_of_the_stream(client: TestClient) -> None:
    """Lines are counted as an editor counts them, blank ones too; `lines` counts the requests."""
    body = b"\n".join([b"", SOUND, b"  \t", b"{", SOUND + b"\r", b"", b"", b"{}"])
    *answers, end = lines_of(post(client, body))
    assert [(line["line"], line["status"]) for line in answers] == [
        (2, 200),
        (4, 400),
        (5, 200),
        (8, 422),
    ]
    assert end == {"end": True, "lines": 4, "failed": 2}


@pytest.mark.parametrize("body", [b"", b"\n", b" \r\n\t\n"])
def test_quote_batch_of_nothing_is_whole(client: TestClient, body: bytes) -> None:
    """A stream without requests gets its last line all the same."""
    assert lines_of(post(client, body)) == [{"end": True, "lines": 0, "failed": 0}]


def bad(number: int) -> bytes:
    """A request with three faults, the first of which names its number."""
    return json.dumps({**REQUEST, "units": "usa", "titel": "x", f"key_{number}": 1}).encode()


def assert_short(problem: Json, alone: Json) -> None:
    """All of the problem that a call alone gets but its further faults."""
    assert problem["errors"] == alone["errors"][:1]
    assert problem["errors_total"] == len(alone["errors"]) == 3
    assert problem["detail"].startswith("3 faults were found; errors has the first")
    said = ("type", "title", "status", "code", "instance")
    assert [problem[key] for key in said] == [alone[key] for key in said]


def test_quote_batch_shortens_problems_after_twenty(client: TestClient) -> None:
    """Twenty problems of a batch are whole, whatever lies between them; later ones have their first
    fault alone, and those with one fault stay as they are."""
    lines = [bad(number) for number in range(20)] + [SOUND, bad(20), b"[]", b"{", SOUND, bad(21)]
    lines.insert(3, SOUND)
    answered = lines_of(post(client, b"\n".join(lines)))[:-1]
    alone = [client.post("/v1/quotes", content=line, headers=JSON).json() for line in lines]
    problems = [
        (line["problem"], single)
        for line, single in zip(answered, alone, strict=True)
        if "problem" in line
    ]
    assert len(problems) == 24
    *whole, first, array, text, last = problems
    for problem, single in (*whole, array, text):
        assert problem == single
    assert_short(*first)
    assert_short(*last)


def test_quote_batch_of_many_bad_lines_stays_small(client: TestClient) -> None:
    """A line of a hundred faults after the first twenty takes under 2 KB: ten thousand such lines
    are answered by a few MB, not by hundreds."""
    request = {**REQUEST, **{f"key_{n}_{'x' * 200}": n for n in range(100)}}
    body = (json.dumps(request).encode() + b"\n") * 60
    *answered, _ = post(client, body).content.splitlines()
    assert all(len(line) > 20_000 for line in answered[:20])
    assert max(map(len, answered[20:])) < 2_000


def test_quote_batch_of_an_array_shortens_problems_too(client: TestClient) -> None:
    """Items are shortened as lines are."""
    requests = [json.loads(bad(number)) for number in range(22)]
    items = client.post(PATH, json=requests).json()["items"]
    assert [len(item["problem"]["errors"]) for item in items] == [3] * 20 + [1] * 2


def test_quote_batch_goes_on_after_a_line_that_is_too_long(client: TestClient) -> None:
    """A line of 1 MiB is read, one byte more is a 413 of that line alone."""
    longest = SOUND + b" " * (MAX_BODY_BYTES - len(SOUND))
    body = b"\n".join([longest, longest + b" ", b"x" * 3_000_000, SOUND])
    *answers, end = lines_of(post(client, body))
    assert [(line["line"], line["status"]) for line in answers] == [
        (1, 200),
        (2, 413),
        (3, 413),
        (4, 200),
    ]
    assert answers[1]["problem"]["code"] == "body-too-large"
    assert answers[1]["problem"]["instance"] == "of-a-batch"
    assert end == {"end": True, "lines": 4, "failed": 2}


def test_quote_batch_lines_fit_the_document(client: TestClient, document: Json) -> None:
    """The API document gives the schema of one line, plain, under the media type of the lines."""
    operation = document["paths"][PATH]["post"]
    media = operation["responses"]["200"]["content"]
    assert list(media) == [NDJSON]
    assert list(media[NDJSON]) == ["schema"]
    names = ("QuoteRequest", "FieldQuoteRequest")
    one = {"anyOf": [{"$ref": f"#/components/schemas/{name}"} for name in names]}
    assert operation["requestBody"]["content"][NDJSON] == {"schema": one}
    checker = jsonschema.Draft202012Validator(
        {**media[NDJSON]["schema"], "components": document["components"]}
    )
    for line in lines_of(post(client, SOUND + b"\n{}\n")):
        checker.validate(line)
    assert not checker.is_valid({"line": 0, "status": 200, "quote": {}})


def test_quote_batch_keeps_a_failure_to_its_line(
    client: TestClient, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """A line on which the service fails is a 500 of that line; the log tells it by request id."""

    def fail_once(document: Any, *known: Any) -> PreparedQuote:  # noqa: ANN401
        if document == {}:
            raise ZeroDivisionError("what the caller sent")
        return prepare_document(document, *known)

    changed = replace(quoting.WITH_PRICES, prepare_quote=fail_once)
    monkeypatch.setattr(quoting, "WITH_PRICES", changed)
    with caplog.at_level(logging.ERROR):
        first, second, end = lines_of(post(client, b"{}\n" + SOUND))
    assert (first["status"], first["problem"]["code"]) == (500, "internal-error")
    assert second["status"] == 200
    assert end == {"end": True, "lines": 2, "failed": 1}
    (record,) = (record for record in caplog.records if record.name == "service.api")
    assert vars(record)["request_id"] == "of-a-batch"
    assert "what the caller sent" not in caplog.text


@pytest.mark.parametrize(
    "headers",
    [
        {"Content-Type": "text/plain"},
        {"Content-Type": "application/jsonl"},
        {"Content-Type": "application/x-ndjson; charset=latin-1"},
        {"Content-Type": "application/x-ndjson", "Content-Encoding": "gzip"},
    ],
)
def test_quote_batch_refuses_other_media_types(client: TestClient, headers: dict[str, str]) -> None:
    """The problem names the two media types a batch may have."""
    response = client.post(PATH, content=SOUND, headers=headers)
    problem = assert_problem(response, 415, "media-type-unsupported")
    assert "application/x-ndjson" in problem["detail"]


@pytest.mark.parametrize(
    ("accept", "status"),
    [("*/*", 200), (NDJSON, 200), ("application/*", 200), ("application/json", 406), ("a/b", 406)],
)
def test_quote_batch_answers_lines_by_lines(client: TestClient, accept: str, status: int) -> None:
    """A caller who would not read lines is told before anything is worked on."""
    response = post(client, SOUND, Accept=accept)
    assert response.status_code == status
    if status == 406:
        assert_problem(response, 406, "not-acceptable")


def test_quote_batch_takes_no_parameters(client: TestClient) -> None:
    """As any call that calculates."""
    response = client.post(f"{PATH}?limit=1", content=SOUND, headers={"Content-Type": NDJSON})
    assert_problem(response, 422, "parameter-invalid")


@pytest.mark.no_cover  # others run the same lines
def test_quote_batch_of_an_array_answers_items(client: TestClient, document: Json) -> None:
    """An array gets 207 with the same answers, in its order, counted from 1."""
    response = client.post(PATH, json=[REQUEST, {}, REQUEST], headers=JSON)
    assert response.status_code == 207
    assert response.headers["content-type"] == "application/json"
    items = response.json()["items"]
    assert [(item["line"], item["status"]) for item in items] == [(1, 200), (2, 422), (3, 200)]
    assert (items[0]["reference"], items[1]["problem"]["instance"]) == ("job-0042", "of-a-batch")
    alone = client.post("/v1/quotes", json=REQUEST)
    assert response.content.startswith(
        b'{"items":[{"line":1,"reference":"job-0042","status":200,"quote":' + alone.content + b"}"
    )
    schema = document["paths"][PATH]["post"]["responses"]["207"]["content"]["application/json"]
    root = {**schema["schema"], "components": document["components"]}
    jsonschema.Draft202012Validator(root).validate(response.json())


def test_quote_batch_of_an_array_is_bounded(client: TestClient) -> None:
    """100 requests are answered; more, none, or no array are 422 and name what would be right."""
    assert len(client.post(PATH, json=[0] * 100).json()["items"]) == 100
    problem = assert_problem(client.post(PATH, json=[0] * 101), 422, "too-long")
    assert problem["detail"] == "101 requests are given, at most 100 are read"
    assert NDJSON in problem["errors"][0]["hint"]
    assert_problem(client.post(PATH, json=[]), 422, "too-short")
    assert_problem(client.post(PATH, json=REQUEST), 422, "wrong-type")
