"""Quote requests in which as much is wrong as their bounds allow."""

from __future__ import annotations

import json

from tests.given.quote_requests import Json, level_wall, shipped_request

MANY = 1900


def faulty_requests() -> dict[str, Json]:
    """By what is wrong with them."""
    shipped = shipped_request()
    rates: Json = {"crews": {}, "tasks": [{}] * MANY, "machine_tasks": [{}] * MANY}
    words = [f"word{number}" for number in range(MANY)]
    rows: Json = {word: {} for word in words}
    named = [{"task": f"no{number}_fence", "quantity": "1 ft"} for number in range(MANY)]
    return {
        "entries": shipped_request(*[{**level_wall(), "profile": [{}] * MANY}] * 8),
        "parts": shipped_request(*[{**level_wall(), "plan": [{"kind": "x"}] * 900}] * 8),
        "keys": shipped_request(*[{**level_wall(), **dict.fromkeys(words, 1)}] * 8),
        "prices": {**shipped, "prices": {"items": rows}},
        "rates": {**shipped, "rates": {**rates, "trucks": rows}},
        "extras": {**shipped, "extras": [{}] * MANY, "tiers": [{}] * MANY},
        "levels": {**shipped, "grading": [{"grid": {"existing": [["x"] * 9] * MANY}}]},
        "tasks": {**shipped, "site_work": named},
    }


def crammed_bodies() -> dict[str, bytes]:
    """Bodies by what fills them, up to what is read and beyond: lists in lists, records, keys,
    figures, a string that is never closed, and sound measures with one fault behind them."""
    deep, record = b"[" * 30 + b"]" * 30 + b",", b'{"a":1},'
    keys = b",".join(b'"k%d":0' % number for number in range(80_000))
    return {
        "lists in lists": _crammed(deep),
        "lists in lists, some": _crammed(deep, 1_900),
        "records": _crammed(record),
        "records, some": _crammed(record, 19_000),
        "empty lists": _crammed(b"[],"),
        "figures": _crammed(b"1e9,", 59_000),
        "keys": b"{" + keys + b"}",
        "keys below": b'{"walls":{' + keys + b"}}",
        "texts": _crammed(b'"a",'),
        "never closed": b'{"walls":"' + b'\\",' * 340_000,
        "measures": json.dumps(_measured()).encode(),
    }


def _crammed(piece: bytes, most: int = 1_000_000) -> bytes:
    """A list of walls of so many pieces, as far as a body has room for them."""
    return b'{"walls":[' + piece * min(most, 1_048_000 // len(piece)) + b"0]}"


def _measured() -> Json:
    """12,000 sound measures, no two alike, and a key that is none."""
    walls = [{**level_wall(), "name": f"wall {number}"} for number in range(4)]
    for number, wall in enumerate(walls):
        wall["profile"] = [
            {
                "station": f"{number}{entry}.25 ft",
                "top": f"{number}{entry}.5 ft",
                "front_grade": f"{number}{entry}.125 ft",
            }
            for entry in range(1_000)
        ]
    return {**shipped_request(*walls), "no_such_key": 1}
