"""Data in which every amount, supplier and margin is a marker: a number that stands nowhere else.

The shipped entries are walked: what a schema calls an amount of money gets one, wherever it is.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import tomlkit

from service.catalog import Catalog, load_catalog
from tests.given.catalogs import shipped_catalog

SCHEMAS = Path(__file__).resolve().parents[2] / "catalog" / "schema"
LIST, OTHER_LIST, GAPS, TERMS, RATES, SITE = (
    "marked_list", "marked_other", "marked_gaps", "marked_terms", "marked_crew", "marked_site"
)  # fmt: skip
STORED = "marked_stored"
# Terms by which any small job costs the same, whatever is paid for it; and websites that use them.
EVEN = "even_terms"
EVEN_SITES = {"even_site": LIST, "even_other": OTHER_LIST}
EVEN_TERMS: dict[str, Any] = {
    "id": EVEN,
    "version": "1",
    "title": "One sum for every job",
    "minimum_charge": "900000000000.00",
    "currency": "USD",
    "source": {"kind": "invented"},
}
# How schemas write a sum of money; a cost has more places.
MONEY = r"^[0-9]{1,12}(?:\.[0-9]{1,4})?$"
COSTS = frozenset({"unit_cost", "wage"})
SHARES = frozenset({"overhead", "contingency", "deposit", "markup", "burden"})
TEXTS = frozenset({"supplier", "note", "description", "supplier_item"})
WHO = ("Demo block yard", "Demo stone yard")
FIRST, STEP = 7_391_527, 1_313


class Markers:
    """Numbers of seven digits that stand nowhere else, each handed out once."""

    def __init__(self, first: int = FIRST) -> None:
        self._next = first
        self.given: set[str] = set()

    def number(self) -> str:
        """The next one."""
        self._next += STEP
        self.given.add(str(self._next))
        return str(self._next)

    def amount(self) -> str:
        """A sum of money."""
        return f"{self.number()}.37"

    def share(self) -> str:
        """A share with six places, which are a marker too."""
        digits = self.number()[-6:].strip("0").ljust(6, "7")
        self.given.add(digits)
        return f"0.{digits}"

    def text(self) -> str:
        """Words with a marker."""
        return f"Marked {self.number()}"


def money_keys(kind: str) -> frozenset[str]:
    """The keys under which documents of a kind have sums of money, by their schema."""
    schema = json.loads((SCHEMAS / f"{kind}.schema.json").read_text("utf-8"))
    return frozenset(_money_keys(schema)) | COSTS


def _money_keys(part: Any) -> Iterator[str]:  # noqa: ANN401  as JSON has it
    if isinstance(part, list):
        for each in part:
            yield from _money_keys(each)
    if not isinstance(part, Mapping):
        return
    for key, value in part.get("properties", {}).items():
        if f'"pattern": {json.dumps(MONEY)}' in json.dumps(value):
            yield key
    for value in part.values():
        yield from _money_keys(value)


def marked(part: Any, kind: str, markers: Markers) -> Any:  # noqa: ANN401  as TOML has it
    """A part of a document with markers in place of sums, shares and words of the office."""
    return _marked(copy.deepcopy(part), money_keys(kind), markers)


def _marked(part: Any, keys: frozenset[str], markers: Markers) -> Any:  # noqa: ANN401
    if isinstance(part, list):
        return [_marked(each, keys, markers) for each in part]
    if not isinstance(part, dict):
        return part
    return {key: _value(key, value, keys, markers) for key, value in part.items()}


def _value(key: str, value: Any, keys: frozenset[str], markers: Markers) -> Any:  # noqa: ANN401
    if isinstance(value, str) and key in keys:
        return markers.amount()
    if isinstance(value, str) and key in SHARES:
        return markers.share()
    if isinstance(value, str) and key in TEXTS:
        return markers.text()
    return _marked(value, keys, markers)


def marked_list(list_id: str, markers: Markers) -> dict[str, Any]:
    """The shipped price list with markers; a supplier has one name throughout."""
    document = shipped_catalog().price_lists["demo_2026"].document
    names = {who: markers.text() for who in WHO}
    suppliers = {item: row.get("supplier") for item, row in document["items"].items()}
    found: dict[str, Any] = marked(document, "price_list", markers)
    for item, row in found["items"].items():
        if suppliers[item] is not None:
            row["supplier"] = names[suppliers[item]]
    found["delivery"] = {names[who]: row for who, row in found["delivery"].items()}
    source = {"kind": "invented"}
    return {**found, "id": list_id, "title": markers.text(), "source": source}


def marked_documents(markers: Markers) -> dict[str, dict[str, Any]]:
    """The documents by the file each stands in."""
    catalog = shipped_catalog()
    first, other = marked_list(LIST, markers), marked_list(OTHER_LIST, Markers(2 * FIRST))
    gaps = {**first, "id": GAPS, "items": dict(list(first["items"].items())[::2])}
    terms = marked(catalog.terms["with_allowances"].document, "terms", markers)
    rates = dict(copy.deepcopy(catalog.production_rates["small_crew"].document))
    rates["choose_by"] = _amounts(rates["choose_by"], markers)
    site = dict(copy.deepcopy(catalog.websites["demo_site"].document))
    named = {"prices": {"price_list": LIST}, "terms": TERMS, "rates": RATES}
    sites = {SITE: named}
    for name, prices in EVEN_SITES.items():
        sites[name] = {**named, "prices": {"price_list": prices}, "terms": EVEN}
    return {
        f"price_lists/{LIST}.toml": first,
        f"price_lists/{OTHER_LIST}.toml": other,
        f"price_lists/{GAPS}.toml": gaps,
        f"terms/{TERMS}.toml": {**terms, "id": TERMS, "source": {"kind": "invented"}},
        f"production_rates/{RATES}.toml": {**rates, "id": RATES},
        f"terms/{EVEN}.toml": EVEN_TERMS,
        **{
            f"websites/{name}.toml": {**site, "id": name, "quote": {**site["quote"], **used}}
            for name, used in sites.items()
        },
    }


def _amounts(part: Any, markers: Markers) -> Any:  # noqa: ANN401  as TOML has it
    """What machines and crews cost a day, when machines are chosen."""
    if isinstance(part, dict):
        return {key: _amounts(value, markers) for key, value in part.items() if key != "source"}
    return markers.amount() if isinstance(part, str) and part[:1].isdigit() else part


def marked_catalog(folder: Path, markers: Markers) -> Catalog:
    """The shipped catalog and the marked entries."""
    for name, document in marked_documents(markers).items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(tomlkit.dumps(document), encoding="utf-8")
    return load_catalog([folder])
