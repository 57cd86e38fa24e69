"""Quote requests in which as much is wrong as their bounds allow."""

from __future__ import annotations

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
