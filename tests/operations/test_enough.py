"""Documents with more faults than anybody reads: reading stops, and says so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from pydantic import BaseModel, Field, ValidationError, field_validator

from service import faults
from service.catalog import Catalog, PriceListBody, TermsBody
from service.catalog.documents.production_rates import RatesBody
from service.catalog.registry import Catalog as Registry
from service.core.errors import MOST_FAULTS, QuoteFaultsError
from service.fields import ListOf, StrictModel, TableOf
from service.operations import ruled
from service.operations.prices.column_mapping import ColumnMapping
from service.operations.prices.price_list_request import ChangesRequest, WholeRequest
from service.operations.quoting.comparison_request import ComparisonRequest
from service.operations.quoting.known_ids import MOST_COMPARED
from service.operations.quoting.quote_request import QuoteRequest, read_request
from service.operations.quoting.survey_text import read_survey
from service.operations.ruled import read_document
from tests.given.faulty_requests import faulty_requests
from tests.given.quote_requests import level_wall, shipped_request

Schema = Mapping[str, Any]
# Lists of these say something for each entry that is wrong.
HOLDERS = {"model", "model-fields", "tuple", "list", "dict", "tagged-union", "union"}
READ = 2_000


class Seen(StrictModel):
    """An entry that notes that it was read."""

    width: int

    @field_validator("width", mode="before")
    @classmethod
    def _note(cls, value: object) -> object:
        notes.append(value)
        return value


class Shelf(StrictModel):
    """A list, and a table behind it."""

    rows: ListOf[Seen] = Field(strict=False)
    named: TableOf[str, Seen]


notes: list[object] = []


def faults_of(model: type[BaseModel], document: object, catalog: Catalog) -> QuoteFaultsError:
    """What reading a document raises."""
    with pytest.raises(QuoteFaultsError) as caught:
        read_document(model, document, catalog)
    return caught.value


def test_read_document_reads_no_entry_behind_enough_faults(catalog: Catalog) -> None:
    """After 1,000 errors no entry of a list or table is read any more."""
    notes.clear()
    rows = [{"width": "x"}] * READ
    found = faults_of(Shelf, {"rows": rows, "named": {"a": {"width": 1}}}, catalog)
    assert len(notes) == len(found.faults) == MOST_FAULTS


def test_read_document_reads_sound_entries_however_many(catalog: Catalog) -> None:
    """Sound entries are all read, and the faults behind them are told."""
    notes.clear()
    rows = [{"width": 1}] * (READ - 1)
    found = faults_of(Shelf, {"rows": [*rows, {"width": "x"}], "named": {}}, catalog)
    assert len(notes) == READ
    assert [fault.at for fault in found.faults] == [("rows", READ - 1, "width")]


def test_read_document_names_no_list_that_it_emptied(catalog: Catalog) -> None:
    """A list that is left out unread is not said to be too short."""
    entry = {"kind": "straight"}
    wall = {**level_wall(), "plan": [entry] * MOST_FAULTS}
    faults = faults_of(QuoteRequest, shipped_request(wall), catalog).faults
    assert {fault.code for fault in faults} == {"field-missing"}
    assert {fault.at[:3] for fault in faults} == {("walls", 0, "plan")}


def test_read_document_tells_as_many_nulls_as_faults(catalog: Catalog) -> None:
    """Of 1,900 nulls 1,000 are told, and nothing else is looked for."""
    faults = faults_of(Shelf, {"rows": [None] * 1900, "unknown": 1}, catalog).faults
    assert len(faults) == MOST_FAULTS
    assert {fault.code for fault in faults} == {"null-not-read"}
    assert ("rows", 0) in {fault.at for fault in faults}


@pytest.mark.parametrize("name", faulty_requests())
def test_read_document_finds_no_more_errors_than_one_entry_has(
    name: str, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What pydantic collects is bounded: enough, and what the entry at hand has besides."""
    found: list[int] = []
    told = faults.faults_from

    def counted(error: ValidationError, model: type[BaseModel]) -> object:
        found.append(error.error_count())
        return told(error, model)

    monkeypatch.setattr(ruled, "faults_from", counted)
    error = faults_of(QuoteRequest, faulty_requests()[name], catalog)
    assert len(error.faults) == MOST_FAULTS
    assert MOST_FAULTS <= found[0] <= 2 * ruled.MOST_ITEMS


def test_read_request_compares_few_words_with_all_entries(
    catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 100 unknown tasks the first 20 are held against all that there are; the others are told
    without a hint of the nearest."""
    asked: list[str] = []
    nearest = Registry.nearest

    def counted(self: Registry, kind: str, value: str) -> str | None:
        asked.append(value)
        return nearest(self, kind, value)

    monkeypatch.setattr(Registry, "nearest", counted)
    work = [{"task": f"no{number}_fence", "quantity": "1 ft"} for number in range(100)]
    with pytest.raises(QuoteFaultsError) as caught:
        read_request({**shipped_request(), "site_work": work}, catalog)
    hints = [fault.hint or "" for fault in caught.value.faults]
    assert len(asked) == MOST_COMPARED
    assert all("silt_fence" in hint for hint in hints[:MOST_COMPARED])
    assert not any("silt_fence" in hint for hint in hints[MOST_COMPARED:])


def test_read_survey_stops_when_enough_is_wrong() -> None:
    """9,000 lines that can't be read are 1,000 faults."""
    lines = "\n".join(f"{number},1,2,x" for number in range(9_000))
    with pytest.raises(QuoteFaultsError) as caught:
        read_survey(f"0,1,2,3\n{lines}", ("point", "northing", "easting", "elevation"), "m")
    assert len(caught.value.faults) == MOST_FAULTS


@pytest.mark.parametrize(
    "model",
    [
        QuoteRequest,
        ComparisonRequest,
        WholeRequest,
        ChangesRequest,
        ColumnMapping,
        PriceListBody,
        RatesBody,
        TermsBody,
    ],
)
def test_lists_of_requests_are_read_until_enough(model: type[BaseModel]) -> None:
    """Every list and table of a request whose entries hold something is a `ListOf` or a
    `TableOf`."""
    held = [(place, entry) for place, entry in _entries(model) if _bare(entry)["type"] in HOLDERS]
    assert held
    assert [place for place, entry in held if not _stops(entry)] == []


def _stops(entry: Schema) -> bool:
    function = entry.get("function", {}).get("function")
    return getattr(function, "__name__", "") == "_unless_enough"


def _bare(schema: Schema) -> Schema:
    while schema["type"].startswith("function-") and "schema" in schema:
        schema = schema["schema"]
    return schema if schema["type"] != "definition-ref" else {"type": "model"}


def _entries(model: type[BaseModel]) -> Iterator[tuple[str, Schema]]:
    """The schemas of the entries of all lists and tables of a model, with their places."""
    root = model.__pydantic_core_schema__
    named: dict[str, Schema] = {each["ref"]: each for each in root.get("definitions", ())}
    seen: set[int] = set()
    waiting: list[tuple[str, Schema]] = [("", root)]
    while waiting:
        place, schema = waiting.pop()
        if schema["type"] == "definition-ref":
            schema = named[schema["schema_ref"]]
        if id(schema) in seen:
            continue
        seen.add(id(schema))
        for entry in _held(schema):
            yield place, entry
            waiting.append((f"{place}[]", entry))
        waiting += [(f"{place}/{key}", below) for key, below in _below(schema)]


def _held(schema: Schema) -> list[Schema]:
    if schema["type"] == "dict":
        return [schema["values_schema"]] if "values_schema" in schema else []
    if schema["type"] == "tuple":
        return list(schema["items_schema"])
    return [schema["items_schema"]] if schema["type"] == "list" else []


def _below(schema: Schema) -> Iterator[tuple[str, Schema]]:
    if schema["type"] == "model-fields":
        yield from ((name, field["schema"]) for name, field in schema["fields"].items())
    elif schema["type"] == "tagged-union":
        yield from schema["choices"].items()
    elif schema["type"] == "union":
        choices = (each[0] if isinstance(each, tuple) else each for each in schema["choices"])
        yield from (("", choice) for choice in choices)
    else:
        keys = ("schema", "strict_schema", "python_schema")
        yield from (("", schema[key]) for key in keys if isinstance(schema.get(key), dict))
