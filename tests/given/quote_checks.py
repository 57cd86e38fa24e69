"""What holds for every quote, whatever was asked: sums and rounding (rules 15 and 16), re-added."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from tests.given.quote_requests import Json

GROUPS = (
    "units",
    "stone",
    "pipe",
    "fabric",
    "adhesive",
    "reinforcement",
    "earth",
    "site_work",
    "labor",
    "equipment",
    "delivery",
    "fees",
    "extras",
)
UNIT_KINDS = ("standard", "corner", "cap")
AMOUNTS = (
    "direct_cost",
    "overhead",
    "contingency",
    "profit",
    "discount",
    "added_to_reach_minimum",
    "subtotal",
    "tax",
    "total",
    "deposit",
    "site_wide",
)
NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?")


def assert_invariants(answer: Json, *, places: int = 2) -> None:
    """Check everything that is promised of an answer as it stands."""
    _check_digest(answer)
    _check_amounts(answer["price"], places)
    _check_sums(answer["price"])
    _check_line_costs(answer["price"], places)
    _check_counts(answer)
    _check_order(answer)
    _check_bought(answer)
    _check_measures(answer)


def canonical(document: Json) -> bytes:
    """The RFC 8785 form of a document without numbers but whole ones: sorted keys, no spaces.

    Keys here are ASCII, so sorting by code point is sorting by UTF-16 unit.
    """
    text = json.dumps(document, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return text.encode("utf-8")


def _check_digest(answer: Json) -> None:
    rest = {key: value for key, value in answer.items() if key != "digest"}
    assert answer["digest"] == hashlib.sha256(canonical(rest)).hexdigest()


def _check_amounts(price: Json, places: int) -> None:
    amount = re.compile(r"-?[0-9]+" + (rf"\.[0-9]{{{places}}}" if places else ""))
    found = [price[name] for name in AMOUNTS]
    found += [line[name] for line in price["lines"] for name in ("cost", "price")]
    found += [wall["price"] for wall in price["by_wall"]]
    assert all(amount.fullmatch(text) for text in found), found
    assert "-0" not in found
    for line in price["lines"]:
        assert re.fullmatch(r"[0-9]+(\.[0-9]{1,6})?", line["unit_cost"])
    assert price["margin"] is None or re.fullmatch(r"-?[0-9]+\.[0-9]{4}", price["margin"])


def _check_sums(price: Json) -> None:
    lines = price["lines"]
    subtotal = Decimal(price["subtotal"])
    assert sum(Decimal(line["price"]) for line in lines) == subtotal
    assert sum(Decimal(line["cost"]) for line in lines) == Decimal(price["direct_cost"])
    walls = sum(Decimal(wall["price"]) for wall in price["by_wall"])
    assert walls + Decimal(price["site_wide"]) == subtotal
    assert subtotal + Decimal(price["tax"]) == Decimal(price["total"])
    parts = [Decimal(price[n]) for n in ("direct_cost", "overhead", "contingency", "profit")]
    added = Decimal(price["added_to_reach_minimum"]) - Decimal(price["discount"])
    assert sum(parts) + added == subtotal


def _check_line_costs(price: Json, places: int) -> None:
    for line in price["lines"]:
        if line["per"] in {line["quantity"]["unit"], "pack"}:
            exact = Decimal(line["quantity"]["value"]) * Decimal(line["unit_cost"])
            step = Decimal(1).scaleb(-places)
            assert Decimal(line["cost"]) == exact.quantize(step, ROUND_HALF_UP), line


def _check_counts(answer: Json) -> None:
    """Standard units, corner units and caps of all walls are the nets of their lines."""
    runs = [run for wall in answer["walls"] for c in wall["courses"] for run in c["runs"]]
    for run in runs:
        for kind in ("standard_units", "corner_units"):
            assert not run["legs"] or sum(leg[kind] for leg in run["legs"]) == run[kind]
    counts = {
        "standard": sum(run["standard_units"] for run in runs),
        "corner": sum(run["corner_units"] for run in runs),
        "cap": sum(cap["units"] for wall in answer["walls"] for cap in wall["caps"]),
    }
    nets = dict.fromkeys(counts, 0)
    for line in answer["quantities"]:
        if line["group"] == "units":
            nets[_kind_of(line["item"])] += int(line["net"]["value"])
    assert nets == counts


def _kind_of(item: str) -> str:
    """What kind of unit an item is, by the names that the catalogs here give."""
    return next((kind for kind in UNIT_KINDS[1:] if kind in item), UNIT_KINDS[0])


def _check_order(answer: Json) -> None:
    for lines in (answer["quantities"], answer["price"]["lines"]):
        groups = [GROUPS.index(line["group"]) for line in lines]
        assert groups == sorted(groups)
        for group in GROUPS:
            items = [line["item"] for line in lines if line["group"] == group]
            assert len(items) == len(dict.fromkeys(items))
            if group == "units":
                kinds = [UNIT_KINDS.index(_kind_of(item)) for item in items]
                assert kinds == sorted(kinds)
            elif group != "extras":
                assert items == sorted(items)


def _check_bought(answer: Json) -> None:
    """Every quantity line has its price line, of what is ordered."""
    lines = {line["item"]: line for line in answer["price"]["lines"]}
    for quantity in answer["quantities"]:
        assert lines[quantity["item"]]["quantity"] == quantity["order"]
        assert quantity["how"]
    assert all(line["how"] for line in answer["price"]["lines"])


def _check_measures(answer: Json) -> None:
    for measure in _measures(answer):
        assert list(measure) == ["value", "unit"]
        assert NUMBER.fullmatch(measure["value"]), measure
        assert "." not in measure["value"] or not measure["value"].endswith("0")
        assert measure["value"] != "-0"


def _measures(value: Any) -> Iterator[Json]:  # noqa: ANN401  any JSON
    if isinstance(value, dict):
        if "value" in value and "unit" in value:
            yield value
        else:
            for part in value.values():
                yield from _measures(part)
    elif isinstance(value, list):
        for part in value:
            yield from _measures(part)
