"""A hundred mistakes of people who write to this service, in mistakes.toml: each answer says what
is wrong, where, and what would be right."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from service.catalog import Catalog
from tests.given.quote_requests import Json, read
from tests.given.saved_quotes import Keeper
from tests.given.served import JSON
from tests.given.stores import Clock, sqlite_store

MISTAKES: list[Json] = tomllib.loads(
    Path(__file__).with_name("mistakes.toml").read_text(encoding="utf-8")
)["mistakes"]
EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "quote_walls"
QUOTE: Json = json.loads((EXAMPLES / "straight_wall.request.json").read_text(encoding="utf-8"))
PRICE: Json = {"unit_cost": "7.25", "per": "each"}
BASES: dict[str, Json] = {
    "quote": QUOTE,
    "wrapped": {"quote": QUOTE},
    "save": {"quote": QUOTE},
    "save_as_request": {"request": QUOTE},
    "comparison": {"quote": QUOTE},
    "two_walls_of_one_name": {**QUOTE, "walls": QUOTE["walls"] * 2},
    "publish": {"effective_from": "2026-06-01", "items": {"terrace_8in": PRICE}},
}


@pytest.fixture(scope="module")
def keeper(catalog: Catalog, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Keeper]:
    """A client over an empty store."""
    with sqlite_store(tmp_path_factory.mktemp("mistakes"), Clock()) as store:
        yield Keeper(catalog, store)


@pytest.fixture(scope="module")
def known(keeper: Keeper) -> dict[str, str]:
    """Id and ETag of a quote that is kept under the key `kept-quote`."""
    response = keeper.client.post(
        "/v1/saved-quotes", json=BASES["save"], headers={"Idempotency-Key": "kept-quote"}
    )
    kept = read(response)
    return {"quote": kept["id"], "etag": response.headers["etag"]}


def _filled(text: str, known: dict[str, str]) -> str:
    for name, value in known.items():
        text = text.replace(f"{{{name}}}", value)
    return text


def _holder(body: Json, pointer: str) -> tuple[Any, Any]:
    """What holds the place of a pointer, and its key or index there."""
    *steps, last = pointer.removeprefix("/").split("/")
    holder: Any = body
    for step in steps:
        holder = holder[int(step) if isinstance(holder, list) else step]
    return holder, int(last) if isinstance(holder, list) else last


def _body(mistake: Json) -> bytes:
    """What is sent: the text as it stands, or the base with its changes."""
    if "base" not in mistake:
        return str(mistake.get("body", "")).encode()
    body = deepcopy(BASES[mistake["base"]])
    for pointer, value in (
        *mistake.get("set", ()),
        *((pointer, None) for pointer in mistake.get("set_null", ())),
        *((pointer, "x" * letters) for pointer, letters in mistake.get("long", ())),
    ):
        holder, key = _holder(body, pointer)
        holder[key] = value
    for pointer, name in mistake.get("rename", ()):
        holder, key = _holder(body, pointer)
        holder[name] = holder.pop(key)
    for pointer in mistake.get("drop", ()):
        holder, key = _holder(body, pointer)
        del holder[key]
    return json.dumps(body).encode(mistake.get("encoding", "utf-8"))


def send(client: TestClient, mistake: Json, known: dict[str, str]) -> Response:
    """The answer to a mistake."""
    stated = {name: _filled(value, known) for name, value in mistake.get("headers", {}).items()}
    if "long_header" in mistake:
        name, letters = mistake["long_header"]
        stated[name] = "k" * letters
    if "get" in mistake:
        return client.get(_filled(mistake["get"], known), headers=stated)
    return client.post(
        _filled(mistake["post"], known), content=_body(mistake), headers={**JSON, **stated}
    )


@pytest.mark.parametrize("mistake", MISTAKES, ids=[each["what"] for each in MISTAKES])
def test_mistake_is_told(keeper: Keeper, known: dict[str, str], mistake: Json) -> None:
    """The status fits, and the fault says where it is, by its code what it is, and what would be
    right."""
    response = send(keeper.client, mistake, known)
    problem = read(response)
    assert response.status_code == mistake["status"], problem
    assert response.headers["content-type"] == "application/problem+json"
    entries = problem.get("errors") or [{"message": problem["detail"]}]
    places = [entry.get("parameter") or entry.get("pointer", "") for entry in entries]
    assert mistake["at"] in places, problem
    entry = entries[places.index(mistake["at"])]
    assert entry.get("code", problem["code"]) == mistake["code"]
    said = f"{entry['message']} {entry.get('hint', '')}".lower()
    for words in mistake["says"]:
        assert words.lower() in said, said


def test_there_are_a_hundred_mistakes() -> None:
    """The list is as long as it says, and no two are called the same."""
    assert len({each["what"] for each in MISTAKES}) == len(MISTAKES) >= 100
