"""Marks of the answers to requests of all sorts: short digests, part by part, that are kept.

A version of the engine stands for its numbers: the same request gives the same ones for as long as
it lives. A mark that differs shows where they don't.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from service.catalog import Catalog
from service.core.errors import Fault, QuoteFaultsError
from service.operations.quoting.quote import prepare_document
from service.operations.quoting.quote_answer import encode_answer
from tests.given.quote_requests import Json
from tests.given.varied_catalogs import varied_catalog
from tests.given.varied_requests import varied_request
from tests.given.wider_requests import wider_request

KEPT = Path(__file__).with_name("kept.json")
WIDER = 10_000
LONG_MS = 400  # thought to take longer: not asked in every run of the tests
STAMPS = frozenset({"digest", "catalog_version", "engine_version"})
# Sentences for people: they may be written better while no number changes.
SENTENCES = frozenset({"how", "why", "text", "message", "hint", "detail"})

Marks = dict[str, str]


def asked(number: int) -> tuple[Json, Catalog]:
    """The request of a number, and the catalog that it is asked of: to 10,000 of the shipped one,
    above it whatever is rarely asked, and from 20,000 on of one with other figures."""
    if number < WIDER:
        return varied_request(number), varied_catalog(0)
    return wider_request(number), varied_catalog(number // WIDER - 1)


def answer_to(number: int) -> bytes | Sequence[Fault]:
    """The answer to the request of a number, or its faults."""
    try:
        return encode_answer(prepare_document(*asked(number)).answer())
    except QuoteFaultsError as error:
        return error.faults


def takes_long(number: int) -> bool:
    """Whether the request of a number is thought to take long, by the rule for its size."""
    try:
        return prepare_document(*asked(number)).cost_ms > LONG_MS
    except QuoteFaultsError:
        return False


def marks_of(answer: bytes | Sequence[Fault]) -> Marks:
    """What is kept of an answer: a mark of each part without its sentences, and one of all with
    them; of a refusal one of its codes and places, and one of its words."""
    if not isinstance(answer, bytes):
        places = [(fault.code, fault.at) for fault in answer]
        words = [(fault.message, fault.hint) for fault in answer]
        return {"refused": _mark(places), "words": _mark(words)}
    whole: dict[str, Any] = json.loads(answer)
    parts = {name: part for name, part in whole.items() if name not in STAMPS}
    return {name: _mark(_told(part)) for name, part in parts.items()} | {"words": _mark(parts)}


def _told(part: Any) -> Any:  # noqa: ANN401  whatever JSON holds
    """The same without sentences."""
    if isinstance(part, dict):
        return {key: _told(value) for key, value in part.items() if key not in SENTENCES}
    return [_told(value) for value in part] if isinstance(part, list) else part


def _mark(part: object) -> str:
    return hashlib.sha256(json.dumps(part, ensure_ascii=False).encode()).hexdigest()[:8]
