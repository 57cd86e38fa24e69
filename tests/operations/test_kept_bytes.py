"""What a release kept is read by every later one: files in `kept/<engine version>/`.

They were written by the service of that version, and are never written anew: code that can't read
them loses quotes. A release adds a folder of its own.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import msgspec
import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.operations.conditions import content_digest
from service.operations.prices.kept_revision import decode_kept, encode_kept, to_price_list
from service.operations.repricing.kept_items import unpack_changes, unpack_items
from service.operations.repricing.repricing_answer import change_answer, item_answer
from service.operations.saved.saved_quote import Draft, save_quote
from service.storage import Store
from service.storage.price_lists import RevisionHead, add_revision
from service.storage.quote_rows import NewRevision, RevisionFacts
from tests.given.quote_requests import Json
from tests.given.served import client_over
from tests.given.stores import Clock, opened

RELEASES = sorted(path for path in (Path(__file__).parent / "kept").iterdir() if path.is_dir())
LIST = "/v1/price-lists/kept_list/revisions"


@pytest.fixture(params=RELEASES, ids=lambda path: path.name)
def kept(request: pytest.FixtureRequest) -> Path:
    """What each release kept."""
    folder: Path = request.param
    return folder


@pytest.fixture
def holding(kept: Path, tmp_path: Path) -> Iterator[Store]:
    """A store that holds the price list and the quotes of a release."""
    with opened(f"sqlite:///{tmp_path / 'kept.sqlite'}", Clock()) as store:
        store.migrate()
        with store.write() as connection:
            content = (kept / "price_list.json").read_bytes()
            assert add_revision(connection, _head(content), content)
            for answer in sorted(kept.glob("*.answer.json")):
                save_quote(connection, Draft(kept=_revision(answer), customer=None), store.now())
        yield store


def _head(content: bytes) -> RevisionHead:
    said: Json = json.loads(content)
    return RevisionHead(
        price_list=said["id"],
        number=said["revision"],
        currency=said["currency"],
        effective_from=said["effective_from"],
        note=said["note"],
        items=len(said["items"]),
        source_digest=said["source_digest"],
        content_digest=content_digest(content),
        published_at=0,
    )


def _revision(answer: Path) -> NewRevision:
    """A revision as its columns held it."""
    said: Json = json.loads(answer.read_bytes())
    beside = answer.name.removesuffix(".answer.json")
    return NewRevision(
        request=answer.with_name(f"{beside}.request.json").read_bytes(),
        answer=answer.read_bytes(),
        pricing=answer.with_name(f"{beside}.pricing.bin").read_bytes(),
        facts=RevisionFacts(
            engine_version=said["engine_version"],
            catalog_version=said["catalog_version"],
            digest=said["digest"],
            currency=said["currency"],
            minor_places=2,
            total=Decimal(said["price"]["total"]),
            subtotal=Decimal(said["price"]["subtotal"]),
            cost=Decimal(said["price"]["direct_cost"]),
            complete=said["price"]["complete"],
            materials_only=said["materials_only"],
            title=said["title"],
            reference=said["reference"],
            price_list=said["price_list"]["id"],
            price_list_revision=said["price_list"]["revision"],
        ),
    )


@pytest.fixture
def client(holding: Store, catalog: Catalog) -> Iterator[TestClient]:
    """The service over that store."""
    with client_over(catalog, holding) as client:
        yield client


def _answers(kept: Path) -> dict[str, bytes]:
    """Kept answers by their references."""
    found = [path.read_bytes() for path in kept.glob("*.answer.json")]
    return {json.loads(answer)["reference"]: answer for answer in found}


def test_kept_price_list_is_answered_and_prices(kept: Path, client: TestClient) -> None:
    """Each price of the file is in the answer and in the list that quotes are priced with; its
    tag is that of the kept bytes."""
    content = (kept / "price_list.json").read_bytes()
    said: Json = json.loads(content)
    answer = client.get(f"{LIST}/1")
    assert {key: answer.json()[key] for key in said} == said
    assert answer.headers["etag"] == f'"{content_digest(content)}"'
    prices = to_price_list(decode_kept(content))
    for item, price in said["items"].items():
        assert (prices.items[item].unit_cost, prices.items[item].per) == (
            Decimal(price["unit_cost"]),
            price["per"],
        )
    assert prices.delivery["Plant"].per_load == Decimal("95.00")
    assert encode_kept(decode_kept(content)) == content


@pytest.mark.no_cover  # others run the same lines
def test_kept_quotes_are_answered_byte_for_byte(kept: Path, client: TestClient) -> None:
    """Answer and request come as they were kept. The catalog has come to ask for prices that the
    kept list lacks: those are named."""
    answers = _answers(kept)
    listed = client.get("/v1/saved-quotes").json()["items"]
    assert {quote["facts"]["reference"] for quote in listed} == answers.keys()
    for quote in listed:
        base = f"/v1/saved-quotes/{quote['id']}/revisions/1"
        answer = answers[quote["facts"]["reference"]]
        assert client.get(f"{base}/answer").content == answer
        today = client.get(f"{base}/recomputed").json()
        assert {fault["code"] for fault in today["faults"]} == {"price-missing"}


def test_kept_quotes_are_held_against_those_of_today(
    kept: Path, catalog: Catalog, holding: Store
) -> None:
    """With rates whose work is done without machines, which the kept list has no prices for, a
    kept quote can be held against one of today."""
    by_hand = {
        name: replace(entry, core=replace(entry.core, machine_tasks=()))
        for name, entry in catalog.production_rates.items()
    }
    answers, compared = _answers(kept), 0
    with client_over(replace(catalog, production_rates=by_hand), holding) as client:
        for quote in client.get("/v1/saved-quotes").json()["items"]:
            today = client.get(f"/v1/saved-quotes/{quote['id']}/revisions/1/recomputed").json()
            if today["difference"] is not None:
                answer = json.loads(answers[quote["facts"]["reference"]])
                assert today["difference"]["before"]["digest"] == answer["digest"]
                compared += 1
    assert compared


def test_kept_quotes_are_repriced(kept: Path, client: TestClient) -> None:
    """On the list they were priced with nothing changes to the cent; on a dearer one they cost
    more, and what a total leaves out stays as it was kept."""
    answers = _answers(kept)
    same = client.post("/v1/repricings", json={"price_list": "kept_list"}).json()
    items = client.get(same["items"]).json()["items"]
    assert {item["reference"]: item["old_total"] for item in items} == {
        reference: json.loads(answer)["price"]["total"] for reference, answer in answers.items()
    }
    assert [(item["outcome"], item["change"]) for item in items] == [("unchanged", "0.00")] * 2
    dearer = {"effective_from": "2026-02-01", "changes": [{"adjust": {"factor": "1.10"}}]}
    etag = client.get(f"{LIST}/latest").headers["etag"]
    client.post(LIST, json=dearer, headers={"If-Match": etag}).raise_for_status()
    preview = client.post("/v1/repricings", json={"price_list": "kept_list"}).json()
    written = {"mode": "write", "preview": preview["id"]}
    run = client.post("/v1/repricings", json=written).json()
    items = client.get(run["items"]).json()["items"]
    assert {item["reference"] for item in items} == answers.keys()
    for item in items:
        assert Decimal(item["change"]) > 0
        made = client.get(f"/v1/saved-quotes/{item['id']}/revisions/2/answer").json()
        before = json.loads(answers[item["reference"]])
        assert made["price"]["total"] == item["new_total"]
        for key in ("complete", "not_priced", "needed_not_priced"):
            assert made["price"].get(key) == before["price"].get(key)
        assert made["quantities"] == before["quantities"]


def test_kept_items_of_a_repricing_are_answered(kept: Path) -> None:
    """Every line says what it said; of three one could not be re-priced, and says why."""
    content = (kept / "items.bin").read_bytes()
    lines = zlib.decompress(content).splitlines()
    items = [item_answer(item) for item in unpack_items(content)]
    for line, item in zip(map(json.loads, lines), items, strict=True):
        answer: Json = json.loads(msgspec.json.encode(item))
        kept_line = {"id" if key == "quote" else key: value for key, value in line.items()}
        assert {key: answer[key] for key in kept_line} == kept_line
    assert [item.outcome for item in items] == ["changed", "changed", "failed"]
    assert [item.id for item in map(item_answer, unpack_items(content, 2))] == [items[2].id]
    changes = (kept / "largest.json").read_bytes()
    said = [(change["quote"], change["change"]) for change in json.loads(changes)]
    answered = [change_answer(change) for change in unpack_changes(changes)]
    assert [(change.id, change.change) for change in answered] == said


def test_kept_formats_are_no_answers() -> None:
    """No module that says how something is kept knows how it is answered."""
    folder = Path(__file__).resolve().parents[2] / "service" / "operations"
    formats = sorted(folder.glob("*/kept_*.py"))
    assert [path.name for path in formats] == ["kept_revision.py", "kept_items.py"]
    for path in formats:
        assert "answer import" not in path.read_text(encoding="utf-8")
