"""The examples of the API document: requests by hand, and the service's real answers to them.

They lie in `<operation id>/<case>.request.json`. Requests that need what others stored are steps of
`story.toml`, in its order; all others stand alone.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fastapi import FastAPI

from service.api.app import OPERATIONS
from service.cli.loopback import Answered, call, open_port, running
from service.operations.callers.caller import COMMAND_LINE
from service.operations.callers.key_request import KeyRequest
from service.operations.callers.keys import make_key
from service.settings import Settings
from service.storage import Store

REQUEST_ID = "example"
STORY = "story.toml"
_REQUEST = ".request."
_TYPES = {"json": "application/json", "csv": "text/csv"}
_OK = 200
# Ids of quotes, re-pricings and links are drawn: the first is told as 01…01, the second as 02…02.
_DRAWN = re.compile(r"\b([qrl][0-9]{9,12}_)([0-9a-f]{16,20})\b")
# What is drawn and shown once: the end of a link's address, secrets of webhooks, keys; and ids that
# are drawn without a number.
_SHOWN_ONCE = (
    (re.compile(r"(?<=/q/)[A-Za-z0-9_-]{43}"), "0" * 43),
    (re.compile(r"\bwhsec_[A-Za-z0-9+/]{43}="), f"whsec_{'0' * 43}="),
    (re.compile(r"\bw[0-9a-f]{16}\b"), "w" + "2" * 16),
    (
        re.compile(r"\bwqkey_[a-z2-7]{10}_[a-z2-7]{52}[0-9a-f]{8}\b"),
        f"wqkey_{'2' * 10}_{'2' * 52}{'0' * 8}",
    ),
)
# The id of a key, where keys are asked for.
_KEY_ID = re.compile(r'(?<="id": ")[a-z2-7]{10}(?=")')
# The id of a lead, where a quote that was made of it names it.
_LEAD = re.compile(r'(?<="lead": ")[2-9a-z]{10}(?=")')


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Example:
    """One request, and where its answer is kept.

    `path` fills the address, where a word in braces is the id that an earlier step was given, as in
    `query`; `if_match` is the address whose ETag goes with it, `*` where there is nothing yet. Of
    whole quotes one is shown: the answer of another isn't `kept`. What is `keyed` is asked last,
    with a key, as it is refused before the first one was made.
    """

    operation_id: str
    case: str
    request: Path
    path: Mapping[str, str] = field(default_factory=dict)
    query: str = ""
    if_match: str = ""
    gives: str = ""
    given_by: str = "id"
    kept: bool = True
    keyed: bool = False

    def response(self, status: int) -> Path:
        """The file of the answer; a success that isn't 200 stands in its name."""
        plain = status == _OK or status >= 400  # noqa: PLR2004  a problem says its own
        return self.request.with_name(f"{self.case}.response.{'' if plain else f'{status}.'}json")


def read_examples(folder: Path) -> tuple[Example, ...]:
    """The examples of a folder: the steps of its story in their order, then all others, sorted."""
    found = {(path.parent.name, path.name.split(".")[0]): path for path in _requests(folder)}
    steps = [
        Example(
            operation_id=step["operation"],
            case=step["case"],
            request=found.pop((step["operation"], step["case"])),
            **{
                key: step[key]
                for key in ("path", "query", "if_match", "gives", "given_by", "kept", "keyed")
                if key in step
            },
        )
        for step in _story(folder)
    ]
    rest = (
        Example(operation_id=operation, case=case, request=path)
        for (operation, case), path in found.items()
    )
    return (
        *(step for step in steps if not step.keyed),
        *rest,
        *(step for step in steps if step.keyed),
    )


def answers(app: FastAPI, examples: Iterable[Example]) -> Iterator[tuple[Example, Answered, str]]:
    """Ask the service each example in order; its answer, and that as it is kept."""
    rows = {each.id: each for each in OPERATIONS}
    given: dict[str, str] = {}
    names, key = Names(), ""
    with running(app, Settings.model_construct(), open_port(0)) as address:
        for example in examples:
            row = rows[example.operation_id]
            parts = {key: part.format(**given) for key, part in example.path.items()}
            url = row.path.format(**parts) + (
                f"?{example.query.format(**given)}" if example.query else ""
            )
            body = names.drawn(example.request.read_text(encoding="utf-8")).encode()
            head = _head(example, address, given)
            if example.keyed:
                key = key or _first_key(app)
                head["Authorization"] = f"Bearer {key}"
            answered = call(address, row.method, url, body, head)
            if example.gives and answered.status < 300:  # noqa: PLR2004
                given[example.gives] = json.loads(answered.body)[example.given_by]
            told = names.told(answer_text(answered.body)) if answered.body else ""
            told = _KEY_ID.sub("2" * 10, told) if example.keyed else told
            yield example, answered, told


def write_answers(app: FastAPI, folder: Path) -> tuple[Path, ...]:
    """Ask the service every example of a folder and keep what it answers."""
    written: list[Path] = []
    for example, answered, told in answers(app, read_examples(folder)):
        if told and example.kept:
            path = example.response(answered.status)
            path.write_text(told, encoding="utf-8")
            written.append(path)
    return tuple(written)


class Names:
    """Ids that the service draws, by the order in which they come."""

    def __init__(self) -> None:
        self._seen: dict[str, str] = {}

    def told(self, text: str) -> str:
        """A text with such ids in place of those that were drawn, and no secret."""
        told = _LEAD.sub("2" * 10, text)
        for drawn, shown in _SHOWN_ONCE:
            told = drawn.sub(shown, told)
        return _DRAWN.sub(self._name, told)

    def drawn(self, text: str) -> str:
        """A text with the drawn ids in place of those by which they are told."""
        for drawn, name in self._seen.items():
            text = text.replace(f"_{name}", f"_{drawn}")
        return text

    def _name(self, match: re.Match[str]) -> str:
        drawn = match[2]
        number = f"{len(self._seen) + 1:02d}"
        return match[1] + self._seen.setdefault(drawn, number * (len(drawn) // 2))


def answer_text(answer: bytes) -> str:
    """An answer as it is kept: indented, its keys in their order."""
    return json.dumps(json.loads(answer), indent=1, ensure_ascii=False) + "\n"


def _requests(folder: Path) -> list[Path]:
    return sorted(path for path in folder.glob(f"*/*{_REQUEST}*") if path.suffix[1:] in _TYPES)


def _story(folder: Path) -> list[dict[str, Any]]:
    path = folder / STORY
    if not path.is_file():
        return []
    steps: list[dict[str, Any]] = tomllib.loads(path.read_text(encoding="utf-8"))["step"]
    return steps


def _first_key(app: FastAPI) -> str:
    """A key for the service's running, made on its machine; it asks for keys from then on."""
    store: Store = app.state.store_shelf.get()
    request = KeyRequest(name="office", scopes=("admin",))
    with store.write() as connection:
        made = make_key(connection, store, request, by=COMMAND_LINE.by)
    app.state.key_ring.forget()
    key: str = json.loads(made.body)["key"]
    return key


def _head(example: Example, address: str, given: Mapping[str, str]) -> dict[str, str]:
    """The head of an example's request, with the ETag of what it changes."""
    kind = _TYPES[example.request.suffix[1:]]
    headers = {"Content-Type": kind, "X-Request-ID": REQUEST_ID}
    if example.if_match == "*":
        return {**headers, "If-None-Match": "*"}
    if example.if_match:
        read = call(address, "GET", example.if_match.format(**given), b"", {})
        headers["If-Match"] = read.headers["etag"]
    return headers
