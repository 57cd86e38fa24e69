"""Requests as a caller writes them, and a small catalog whose quotes are worked by hand.

The catalog's items have no files, so they are sold as counted: units each, stone by the yard.
"""

from __future__ import annotations

import json
from typing import Any

from httpx2 import Response
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.operations.quoting.quote import quote_document
from service.operations.quoting.quote_answer import encode_answer

Json = dict[str, Any]

PROOF_FILES = {
    "wall_systems/proof.toml": """\
id = "proof"
version = "1"
title = "Proof block"
[source]
kind = "invented"
[units.standard]
item = "block"
face_length = "18 in"
height = "8 in"
depth = "12 in"
[units.corner]
item = "a_corner"
face_length = "18 in"
depth = "9 in"
[units.cap]
item = "a_cap"
face_length = "18 in"
height = "4 in"
depth = "12 in"
[stacking]
setback = "1 in"
""",
    "sections/proof.toml": """\
id = "proof"
version = "1"
title = "Proof section"
[source]
kind = "invented"
[leveling_pad]
item = "pad_stone"
thickness = "6 in"
front_extension = "6 in"
rear_extension = "6 in"
[embedment]
minimum = "6 in"
share_of_exposed = "0.05"
[drainage]
item = "gravel"
width = "12 in"
starts_at = "pad"
stops_below_top = "8 in"
""",
}
# A 40 ft wall of these, 4 ft exposed: 378.00 + 27.00 + 260.00 + 45.00 = 710.00.
PROOF_PRICES: Json = {
    "currency": "USD",
    "items": {
        "block": {"unit_cost": "2.00", "per": "each"},
        "a_corner": {"unit_cost": "3.00", "per": "each"},
        "a_cap": {"unit_cost": "1.00", "per": "each"},
        "pad_stone": {"unit_cost": "30.00", "per": "yd3"},
        "gravel": {"unit_cost": "40.00", "per": "yd3"},
    },
}
TERMS: Json = {
    "overhead": "0.10",
    "contingency": "0.05",
    "profit": {"markup": "0.20"},
    "tax": {"rate": "0.07", "on": ["material"], "base": "price"},
    "deposit": "0.30",
}


def straight(length: str) -> Json:
    """A straight plan part."""
    return {"kind": "straight", "length": length}


def level_wall(
    length: str = "40 ft", exposed: str = "4 ft", *, plan: list[Json] | None = None, **more: object
) -> Json:
    """A wall of one exposed height over level ground at 0 ft."""
    entries = [
        {"station": station, "front_grade": "0 ft", "exposed": exposed}
        for station in ("0 ft", "end")
    ]
    return {"plan": plan or [straight(length)], "profile": entries, **more}


def proof_request(*walls: Json, **more: object) -> Json:
    """A request on the small catalog with inline prices; 40 ft of wall unless told otherwise."""
    return {
        "units": "us",
        "wall_system": "proof",
        "section": "proof",
        "walls": list(walls) or [level_wall()],
        "prices": PROOF_PRICES,
        **more,
    }


def shipped_request(*walls: Json, **more: object) -> Json:
    """A request on the shipped catalog with its prices; 40 ft of wall unless told otherwise."""
    return {
        "units": "us",
        "wall_system": "terrace_8in",
        "section": "plain_gravity",
        "walls": list(walls) or [level_wall()],
        "prices": {"price_list": "demo_2026"},
        **more,
    }


def prices(currency: str = "USD", **changed: Json) -> Json:
    """The small catalog's prices with some items changed."""
    return {"currency": currency, "items": {**PROOF_PRICES["items"], **changed}}


def quoted(client: TestClient, request: Json) -> Json:
    """The answer to a request that is sound."""
    response = client.post("/v1/quotes", json=request)
    assert response.status_code == 200, response.text
    return read(response)


def answered(request: Json, catalog: Catalog) -> Json:
    """The same answer without HTTP, for properties over many requests."""
    answer: Json = json.loads(encode_answer(quote_document(request, catalog)))
    return answer


def read(response: Response) -> Json:
    """The document of an answer."""
    document: Json = json.loads(response.content.decode("utf-8"))
    return document


def line_of(answer: Json, item: str) -> Json:
    """The one price line of an item."""
    (line,) = (line for line in answer["price"]["lines"] if line["item"] == item)
    return dict(line)


def quantity_of(answer: Json, item: str) -> Json:
    """The one quantity line of an item."""
    (line,) = (line for line in answer["quantities"] if line["item"] == item)
    return dict(line)


def units_by_course(wall: Json, kind: str = "standard_units") -> list[int]:
    """Units of each course of a wall, from the lowest up."""
    return [sum(run[kind] for run in course["runs"]) for course in wall["courses"]]


def caution_codes(answer: Json) -> list[str]:
    """Codes of the cautions, in their order."""
    return [caution["code"] for caution in answer["cautions"]]


def caution_of(answer: Json, code: str) -> Json:
    """The one caution with a code."""
    (found,) = (caution for caution in answer["cautions"] if caution["code"] == code)
    return dict(found)
