"""Calls of everything by everybody, by a seed; what comes back is searched for markers."""

from __future__ import annotations

import io
import json
import logging
import random
import re
import zipfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pypdf
from httpx2 import Response

from service.api.app import OPERATIONS
from service.api.operation import Operation
from service.cli.logs import formatter
from service.storage.event_tables import EVENT
from tests.given.quote_requests import Json
from tests.leaks.marked import GAPS, LIST, OTHER_LIST, RATES, STORED, TERMS
from tests.leaks.service import LINKS, ORDER, Marked, job, small_job

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples"
# Who calls; whom the office is kept from is told by `hidden_from`.
CALLERS = ("field", "website", "link", "supplier", "prices")
ACCEPTS = (
    "*/*", "application/json", "text/html", "application/pdf", "text/csv", "image/svg+xml",
    "application/x-ndjson", "image/png",
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
)  # fmt: skip
METHODS = ("GET", "POST", "PUT", "DELETE", "OPTIONS", "HEAD", "PATCH")
# What the field is called for most of the time; all else is tried as well.
OFTEN = ("quote_walls", "quote_batch", "compare_quotes", "make_document", "read_quote_document")
OFTEN_SHARE, ODD_SHARE = 0.6, 0.3
OFTENER = ("field", "field", *CALLERS)
_ROWS = tuple(OPERATIONS)
_OFTEN = tuple(row for row in _ROWS if row.id in OFTEN)
_GROUPED = re.compile(r"(?<=\d)[, \u00a0\u202f](?=\d{3}(?!\d))")
_HEX = re.compile(r"\b(?=[0-9a-f]*[a-f])[0-9a-f]{12,}\b|\b[0-9a-f]{32,}\b")
_DIGITS = re.compile(r"\d{6,}")
# What every record of a log has of its moment and its process, in digits that may be any: of
# 600,000 lines some are a marker.
_OF_THE_MOMENT = frozenset({"created", "msecs", "relativeCreated", "thread", "process"})
# The whole part of a sum: seven digits are more than any length or weight here has.
_SUM = re.compile(r"(?<![\d.])\d{7,}(?=\.\d)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """One call, as it is written down where it leaks."""

    who: str
    method: str
    path: str
    query: dict[str, str] = field(default_factory=dict)
    accept: str = "*/*"
    body: Any = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a crawl came to: how many answers by status, the calls that leaked, with what, and the
    markers in logs and events, each with a line that says it."""

    statuses: Counter[tuple[str, int]]
    leaks: list[tuple[Call, set[str]]]
    said: dict[str, str]


def numbers_in(text: str) -> set[str]:
    """Every long number of a text, digests and grouping aside."""
    return set(_DIGITS.findall(_GROUPED.sub("", _HEX.sub(" ", text))))


def text_of(response: Response) -> str:
    """Everything that an answer says: head, body, the words of a PDF, what a workbook holds."""
    head = " ".join(f"{name}: {value}" for name, value in response.headers.items())
    body = response.content
    if body[:4] == b"%PDF":
        pages = pypdf.PdfReader(io.BytesIO(body)).pages
        return f"{head} {' '.join(page.extract_text() for page in pages)}"
    if body[:2] == b"PK":
        with zipfile.ZipFile(io.BytesIO(body)) as book:
            return f"{head} {' '.join(book.read(name).decode() for name in book.namelist())}"
    return f"{head} {body.decode('utf-8', 'replace')}"


def crawl(service: Marked, answers: int, seed: int) -> Found:
    """Make so many calls, and look at each answer; then at the log and the events."""
    dice = random.Random(seed)  # noqa: S311  repeatable, nothing secret
    return _look(service, (_call(service, dice) for _ in range(answers)))


def walk(service: Marked) -> Found:
    """Each caller reads everything that is kept under the ids of marked things, once; whoever has
    no key asks as well."""
    paths = [path for read in service.reads for path in _beside(read)]
    calls = (Call(who=who, method="GET", path=path) for path in paths for who in CALLERS)
    return _look(service, calls)


def _beside(read: str) -> Iterator[str]:
    """All reads of the thing at an address, `/v1/price-lists/{id}/…`; numbers in them are 1."""
    _, version, resource, id_, *_ = read.split("/")
    for row in _ROWS:
        if row.method == "GET" and row.path.startswith(f"/{version}/{resource}/{{id}}"):
            yield re.sub(r"\{[^}]+\}", "1", row.path.replace("{id}", id_))


def _look(service: Marked, calls: Iterable[Call]) -> Found:
    hidden = {who: hidden_from(service, who) for who in CALLERS}
    statuses: Counter[tuple[str, int]] = Counter()
    leaks = []
    with logged() as lines:
        for call in calls:
            response = _made(service, call)
            statuses[call.who, response.status_code] += 1
            if found := numbers_in(text_of(response)) & hidden[call.who]:
                leaks.append((call, found))
        counted = service.clients["office"].get("/metrics").text
    secret = service.secrets | service.names
    told = [*lines, *_events(service), _without_values(counted)]
    said = {marker: line for line in told for marker in numbers_in(line) & secret}
    return Found(statuses=statuses, leaks=leaks, said=said)


def hidden_from(service: Marked, who: str) -> set[str]:
    """The markers that a caller may not see."""
    if who == "prices":
        return service.names
    if who == "link":  # which shows a customer his own price, and to whom it is addressed
        return service.secrets
    if who == "supplier":  # who is shown what he brings, by his own numbers, and no customer
        return (service.secrets | service.names | sums_of_office(service)) - his_own(service)
    return service.secrets | sums_of_office(service)


def his_own(service: Marked) -> set[str]:
    """The markers in the name of the supplier who has a link, and in his own item numbers."""
    rows = service.catalog.price_lists[LIST].document["items"].values()
    his = [row.get("supplier_item", "") for row in rows if row.get("supplier") == service.supplier]
    return numbers_in(" ".join([service.supplier, *his]))


def sums_of_office(service: Marked) -> set[str]:
    """Every long number in what the office is answered of money for the same jobs."""
    sums: set[str] = set()
    for request in _jobs():
        answer = service.clients["office"].post("/v1/quotes", json=request).json()
        screened = answer["screening"]
        money = [answer["price"], answer["labor"].get("choice"), screened.get("reinforcement")]
        sums |= set(_SUM.findall(json.dumps([money, screened.get("would_pass")])))
    return sums


def _jobs() -> Iterator[Json]:
    for build in (job, small_job):
        yield build()
        yield build(prices={"price_list": OTHER_LIST}, what_if=True)
    yield job(screening={"reinforcement": "where_needed"})


def _call(service: Marked, dice: random.Random) -> Call:
    who = dice.choice(OFTENER)
    if who in ("link", "supplier"):
        kinds = LINKS if who == "link" else (ORDER,)
        return _link_call(who, [service.links[kind] for kind in kinds], dice)
    often = who == "field" and dice.random() < OFTEN_SHARE
    operation = dice.choice(_OFTEN if often else _ROWS)
    method = dice.choice(METHODS) if dice.random() < 0.1 else operation.method
    return Call(
        who=who,
        method=method,
        path=_path(service, operation, dice),
        query=_query(operation, dice),
        accept=dice.choice(ACCEPTS) if dice.random() < ODD_SHARE else "*/*",
        body=_body(operation, dice) if operation.body is not None else None,
    )


def _link_call(who: str, links: Sequence[str], dice: random.Random) -> Call:
    path = dice.choice(links) + dice.choice(("", "/paper.pdf", "/receipt"))
    method = dice.choice(METHODS) if dice.random() < 0.2 else "GET"
    return Call(who=who, method=method, path=path, accept=dice.choice(ACCEPTS))


def _path(service: Marked, operation: Operation, dice: random.Random) -> str:
    """The address with something in its open parts; a token is that of nothing."""

    def filled(part: re.Match[str]) -> str:
        return dice.choice(service.places.get(part[1], ("1",)))

    return re.sub(r"\{([^}]+)\}", filled, operation.path)


def _query(operation: Operation, dice: random.Random) -> dict[str, str]:
    """A parameter or two, most of them well-formed."""
    given = {}
    for parameter in operation.each_parameter():
        if parameter.within == "query" and dice.random() < 0.15:
            choices = parameter.schema.get("enum") or ("1", "full", LIST, "none")
            given[parameter.name] = str(dice.choice(choices))
    return given


def _body(operation: Operation, dice: random.Random) -> Any:  # noqa: ANN401  as JSON has it
    """A body: marked jobs where quotes are asked for, examples elsewhere, broken now and then."""
    made = _BODIES.get(operation.id)
    body = made(dice) if made else _example(operation, dice)
    return _broken(body, dice) if dice.random() < 0.3 else body


def _example(operation: Operation, dice: random.Random) -> Any:  # noqa: ANN401
    files = sorted((EXAMPLES / operation.id).glob("*.request.json"))
    return json.loads(dice.choice(files).read_text("utf-8")) if files else {}


def _quote(dice: random.Random) -> Json:
    """A job that names marked data: rightly, with gaps, not at all, or as the office alone may."""
    request = dice.choice((job, small_job))(what_if=dice.random() < 0.2)
    way = dice.random()
    if way < 0.3:
        request["prices"] = {"price_list": dice.choice((GAPS, OTHER_LIST, STORED, "marked_lis"))}
    elif way < 0.5:
        del request["prices"], request["terms"]
    elif way < 0.6:
        request["prices"]["overrides"] = {"terrace_8in": {"unit_cost": "1.00", "per": "load"}}
    elif way < 0.7:
        request["terms"] = {"minimum_charge": "1.00", "currency": "EUR"}
    elif way < 0.8:
        request["screening"] = {"reinforcement": dice.choice(("all", "where_needed", "compare"))}
    return request


def _comparison(dice: random.Random) -> Json:
    others = [{"wall_system": "garden_6in"}, {"section": "deep_pad"}, {"wall_system": "metric_200"}]
    return {
        "quote": _quote(dice),
        "alternatives": dice.sample(others, 2),
        "heights_that_fit": dice.random() < 0.3,
    }


_BODIES: dict[str, Callable[[random.Random], Any]] = {
    "quote_walls": _quote,
    "quote_batch": lambda dice: [_quote(dice) for _ in range(dice.randint(1, 3))],
    "compare_quotes": _comparison,
    "make_document": lambda dice: {"quote": _quote(dice)},
    "save_quote": lambda dice: {"quote": _quote(dice)},
}


def _broken(body: Any, dice: random.Random) -> Any:  # noqa: ANN401  as JSON has it
    """The body with one thing wrong: a key gone, renamed, or with another value."""
    if isinstance(body, list):
        return [_broken(part, dice) for part in body] if body else {"wrong": 1}
    if not isinstance(body, dict) or not body:
        return [body]
    key = dice.choice(sorted(body))
    if isinstance(body[key], (dict, list)) and dice.random() < 0.5:
        return {**body, key: _broken(body[key], dice)}
    rest = {name: value for name, value in body.items() if name != key}
    way = dice.choice(("gone", "renamed", "other"))
    if way == "gone":
        return rest
    return rest | (
        {f"{key}s": body[key]} if way == "renamed" else {key: dice.choice((RATES, 7, TERMS))}
    )


def _made(service: Marked, call: Call) -> Response:
    client = service.clients[call.who]
    headers = {"Accept": call.accept}
    sent: dict[str, Any] = {"params": call.query, "headers": headers}
    if call.body is not None:
        sent["json"] = call.body
    return client.request(call.method, call.path, **sent)


class _Lines(logging.Handler):
    """Keeps what is logged, as records and as the JSON that a running service writes."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []
        self._json = formatter()

    def emit(self, record: logging.LogRecord) -> None:
        """Keep a record with all that came with it, and its line as text and as what it says;
        the caller's own log is left out."""
        if record.name.startswith("httpx2"):
            return
        with_it = {
            name: value for name, value in vars(record).items() if name not in _OF_THE_MOMENT
        }
        self.lines.append(f"{record.getMessage()} {with_it}")
        line = self._json.format(record)
        said = json.loads(line)
        line = line.replace(said.pop("timestamp"), "")
        self.lines += [line, " ".join(map(str, said.values()))]


class logged:  # noqa: N801  read as a word
    """The lines that are logged within a block."""

    def __enter__(self) -> list[str]:
        self._handler = _Lines()
        self._logger = logging.getLogger()  # of libraries too
        self._level = self._logger.level
        self._logger.addHandler(self._handler)
        self._logger.setLevel(logging.DEBUG)
        return self._handler.lines

    def __exit__(self, *_: object) -> None:
        self._logger.removeHandler(self._handler)
        self._logger.setLevel(self._level)


def _without_values(counted: str) -> str:
    """Names and labels of what is counted; times and bytes are long numbers by themselves."""
    return re.sub(r"(?m) [0-9.e+-]+( [0-9.]+)?$", "", counted)


def _events(service: Marked) -> list[str]:
    with service.store.read() as connection:
        return [row.data for row in connection.execute(EVENT.select())]
