"""Saved quotes to re-price: a small catalog whose price list has gone from revision to revision."""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

import msgspec

from service.catalog import Catalog, load_catalog
from service.core.quote_state import move
from service.operations.repricing.repricing import work_off
from service.operations.repricing.repricing_answer import RepricingAnswer
from service.operations.repricing.repricing_reads import each_item, read_repricing
from service.operations.repricing.repricing_start import read_repricing_request, start_repricing
from service.operations.saved.saved_quote import Draft, draft_quote, known_quote, save_quote
from service.operations.saved.waiting_answers import make_waiting
from service.storage import Store
from service.storage.repricings import Run
from service.storage.saved_quotes import SavedQuote, change_states
from tests.given.catalog_files import write_folder
from tests.given.quote_requests import PROOF_FILES, level_wall

Json = dict[str, Any]
COSTS = {
    "block": ("2.00", "each"),
    "a_corner": ("3.00", "each"),
    "a_cap": ("1.00", "each"),
    "pad_stone": ("30.00", "yd3"),
    "gravel": ("40.00", "yd3"),
}
TERMS: Json = {
    "overhead": "0.10",
    "contingency": "0.05",
    "profit": {"margin": "0.20"},
    "tax": {"rate": "0.0725", "on": ["material"], "base": "price"},
    "deposit": "0.30",
}


def yard(revision: int, factor: str = "1", without: tuple[str, ...] = ()) -> str:
    """A revision of the price list `yard`: every cost times a factor."""
    lines = [
        f'id = "yard"\ntitle = "Yard"\nrevision = {revision}\ncurrency = "USD"',
        'effective_from = "2026-01-01"\n[source]\nkind = "invented"\n[items]',
    ]
    for item, (cost, per) in COSTS.items():
        if item not in without:
            lines.append(
                f'{item} = {{ unit_cost = "{Decimal(cost) * Decimal(factor):f}", per = "{per}" }}'
            )
    return "\n".join(lines) + "\n"


def catalog_at(
    folder: Path, revision: int, factor: str = "1", without: tuple[str, ...] = ()
) -> Catalog:
    """The shipped catalog, the proof wall system, and the price list at a revision."""
    files = {**PROOF_FILES, "price_lists/yard.toml": yard(revision, factor, without)}
    return load_catalog([write_folder(folder / f"at_{revision}_{factor}_{len(without)}", files)])


def yard_request(reference: str | None = None, feet: int = 40, **more: object) -> Json:
    """A quote request on the price list `yard`."""
    request: Json = {
        "units": "us",
        "wall_system": "proof",
        "section": "proof",
        "walls": [level_wall(f"{feet} ft")],
        "prices": {"price_list": "yard"},
        "terms": TERMS,
        "materials_only": True,
        **more,
    }
    return request if reference is None else {**request, "reference": reference}


def draft_of(catalog: Catalog, request: Mapping[str, object]) -> Draft:
    """A quote calculated and ready to be kept."""
    return draft_quote({"quote": dict(request)}, catalog, first=False)


def save(store: Store, draft: Draft) -> str:
    """Keep a quote; returns its id."""
    with store.write() as connection:
        return save_quote(connection, draft, store.now()).id


def save_many(store: Store, catalog: Catalog, count: int) -> list[str]:
    """Keep quotes of walls of a few lengths, without references; returns their ids."""
    drafts = [draft_of(catalog, yard_request(feet=20 + n)) for n in range(min(count, 5))]
    with store.write() as connection:
        return [
            save_quote(connection, drafts[n % len(drafts)], store.now()).id for n in range(count)
        ]


def start(store: Store, catalog: Catalog, **asked: object) -> Run:
    """A run as a caller asks for it: a preview on the price list `yard` unless told otherwise."""
    document = asked if asked.get("mode") == "write" else {"price_list": "yard", **asked}
    request = read_repricing_request(document, catalog)
    with store.write() as connection:
        return start_repricing(connection, request, catalog, store.now())


def run(store: Store, catalog: Catalog, **asked: object) -> RepricingAnswer:
    """A run from its start to its end, and the answers of its drafts."""
    started = start(store, catalog, **asked)
    work_off(store, catalog, started.asked.id)
    make_waiting(store, catalog)
    with store.read() as connection:
        return read_repricing(connection, started.asked.id, store.now())


def items_of(store: Store, run_id: str) -> list[Json]:
    """The items of a run."""
    return [json.loads(msgspec.json.encode(item)) for item in each_item(store, run_id)]


def quote_of(store: Store, quote_id: str) -> SavedQuote:
    """A saved quote."""
    with store.read() as connection:
        return known_quote(connection, quote_id)


def issue(store: Store, quote_id: str) -> None:
    """Bring a quote out."""
    with store.write() as connection:
        quote = known_quote(connection, quote_id, lock=True)
        change_states(connection, quote, move(quote.revisions, "issued"), store.now())
