"""Every operation of the document is answered well where what it names exists.

The examples are asked in their order, so that quotes, runs and lists are there; then each read is
called by Schemathesis with their ids, and each link is followed. Every answer is held against the
document.
"""

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import httpx2
import pytest
import schemathesis
from schemathesis.schemas import BaseSchema

from service.api.app import OPERATIONS
from service.api.openapi.document import openapi_document
from service.cli.examples import answers, read_examples
from service.cli.loopback import open_port, running
from service.cli.openapi import document_path, example_app
from service.settings import Settings
from service.storage import Store
from tests.given.api_keys import bearer, new_key
from tests.given.quote_requests import Json

IDS = {
    "saved-quotes": r"q\d{9}_[0-9a-f]{20}",
    "repricings": r"r\d{12}_[0-9a-f]{16}",
}


# What is sent where the story has no example, as the answer shows what is no two times the same.
ASKED: dict[str, Json] = {
    "make_api_key": {"name": "crew", "scopes": ["field"]},
    "rotate_api_key": {"overlap": "0d"},
}
# Asked when all else is answered.
LAST = ("delete_lead", "end_link", "end_webhook", "erase_quote_customer", "end_api_key")


class Told:
    """What the story left behind: the address of the service, ids, operations answered well; and
    keys, which are asked for from then on."""

    def __init__(
        self, address: str, store: Store, ids: dict[str, str], well: set[str], bodies: Json
    ):
        self.address, self.well, self.bodies = address, well, bodies
        self.ids = {**ids, "api-keys": new_key(store, "field")[0]}
        self.key = new_key(store, "quotes", "prices", "admin")[1]
        self.website_key = new_key(store, "website")[1]
        self.schema: BaseSchema = schemathesis.openapi.from_dict(openapi_document(OPERATIONS))


@pytest.fixture(scope="module")
def story() -> Iterator[Told]:
    """The examples, asked; the service goes on."""
    with example_app() as app:
        asked = list(answers(app, read_examples(document_path().parent / "examples")))
        good = [(e.operation_id, a) for e, a, _ in asked if a.status < 300]
        bodies = {id_: json.loads(each.body) for id_, each in good if each.body}
        text = " ".join(a.body.decode() for _, a, _ in asked)
        ids = {kind: re.findall(form, text)[-1] for kind, form in IDS.items()}
        ids["saved-quotes"] = re.findall(IDS["saved-quotes"], text)[0]
        # From here on a run waits for a worker that no queue has.
        host = app.state.repricing
        app.state.repricing = replace(host, put_on_queue=lambda *_: None)
        well = {id_ for id_, _ in good}
        with running(app, Settings.model_construct(), open_port(0)) as address:
            ids["price-lists"] = "own_2026"
            told = Told(address, app.state.store_shelf.get(), ids, well, bodies)
            app.state.key_ring.forget()
            yield told


def _call(told: Told, id_: str, parts: dict[str, str]) -> int:
    """The status of a call by the document's own client, whose answer fits the document."""
    row = next(each for each in OPERATIONS if each.id == id_)
    key = told.website_key if row.scopes == ("website",) else told.key
    sent: Any = {"body": ASKED[id_], "media_type": "application/json"} if id_ in ASKED else {}
    case = told.schema[row.path][row.method].Case(path_parameters=parts, **sent)
    response = case.call(base_url=told.address, headers=bearer(key))
    case.validate_response(response)
    return int(response.status_code)


def _parts(told: Told, path: str) -> dict[str, str]:
    """Values of the parameters of an address, of what is there."""
    kind = path.split("/")[2] if path.startswith("/v1/") else ""
    values = {"revision": "1", "other": "2", "kind": "crew_sheet"}
    if "{id}" in path:
        values["id"] = told.ids.get(kind) or _first(told, f"/v1/{kind}")
    if "{link_id}" in path:
        values |= {"link_id": _made_link(told, values["id"]), "revision": "2"}
    if "{delivery}" in path:
        values["delivery"] = _first(told, f"/v1/webhooks/{values['id']}/deliveries")
    return {name: value for name, value in values.items() if f"{{{name}}}" in path}


def _made_link(told: Told, quote_id: str) -> str:
    """The id of a link to the crew's sheet of a quote's second revision."""
    place = f"{told.address}/v1/saved-quotes/{quote_id}/revisions/2/links"
    asked = {"kind": "crew_sheet"}
    made = httpx2.post(place, json=asked, headers=bearer(told.key), timeout=60)
    link_id: str = made.json()["id"]
    return link_id


def _first(told: Told, path: str) -> str:
    head = bearer(told.key)
    answered = httpx2.get(f"{told.address}{path}", headers=head, timeout=30)
    first: str = answered.json()["items"][0]["id"]
    return first


def _waiting_run(told: Told) -> str:
    """A run that nobody has begun yet."""
    case = told.schema["/v1/repricings"]["POST"].Case(
        body={"price_list": "own_2026", "quotes": {"price_list": "demo_2026"}},
        headers={"Prefer": "respond-async"},
        media_type="application/json",
    )
    response = case.call(base_url=told.address, headers=bearer(told.key))
    case.validate_response(response)
    assert (response.status_code, response.json()["status"]) == (202, "queued")
    run: str = response.json()["id"]
    return run


def test_every_operation_is_answered_well(story: Told) -> None:
    """At least one 2xx is seen for every operation, and its answer fits the document."""
    well = set(story.well)
    later = {"erase_quote_customer", "read_quote_actuals"}
    rows = [row for row in OPERATIONS if row.tag is not None and row.id not in well]
    for row in sorted(rows, key=lambda row: LAST.index(row.id) if row.id in LAST else -1):
        parts = _parts(story, row.path)
        if row.id == "cancel_repricing":
            parts["id"] = _waiting_run(story)
        if row.id in later and "revision" in parts:
            parts["revision"] = "2"
        status = _call(story, row.id, parts)
        if status < 300:
            well.add(row.id)
    assert {row.id for row in OPERATIONS if row.tag is not None} - well == set()


def _at(body: object, expression: str) -> str:
    """What a runtime expression finds in a body."""
    found: Any = body
    for step in expression.removeprefix("$response.body#/").split("/"):
        found = found[int(step) if isinstance(found, list) else step]
    return str(found)


def test_every_link_leads_somewhere(story: Told) -> None:
    """What an answer names can be asked for, and is there."""
    document = openapi_document(OPERATIONS)
    followed = 0
    for path, methods in document["paths"].items():
        for operation in methods.values():
            for status, response in operation["responses"].items():
                for link in response.get("links", {}).values():
                    body = story.bodies.get(operation["operationId"])
                    if body is None:
                        case = story.schema[path]["GET"].Case()
                        body = case.call(base_url=story.address, headers=bearer(story.key)).json()
                    parts = {key: _at(body, each) for key, each in link["parameters"].items()}
                    assert _call(story, link["operationId"], parts) == 200, (path, status, link)
                    followed += 1
    assert followed > 15
