"""What generators make of the document: required keys, maps, words, dates, what was kept."""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from service.api.openapi.first_release import FIRST_REQUIRED
from tests.given.kept import RELEASES, kept_revision

Schema = dict[str, Any]
CHANGELOG = Path(__file__).resolve().parents[2] / "openapi" / "CHANGELOG.md"
NAMED = ("properties", "$defs")


def _schemas(part: object) -> Iterator[Schema]:
    """Every schema below a part; a property may have any name."""
    if isinstance(part, dict):
        yield part
        for key, below in part.items():
            if key in NAMED:
                for named in below.values():
                    yield from _schemas(named)
            elif key not in {"examples", "example", "const", "enum", "required"}:
                yield from _schemas(below)
    elif isinstance(part, list):
        for below in part:
            yield from _schemas(below)


def _components(document: Schema) -> dict[str, Schema]:
    schemas: dict[str, Schema] = document["components"]["schemas"]
    return schemas


def _reached(document: Schema, part: object) -> set[str]:
    """The named schemas that a part leads to."""
    found: set[str] = set()
    waiting = [part]
    while waiting:
        for schema in _schemas(waiting.pop()):
            name = str(schema.get("$ref", "")).removeprefix("#/components/schemas/")
            if name in _components(document) and name not in found:
                found.add(name)
                waiting.append(_components(document)[name])
    return found


def _of_requests(document: Schema) -> set[str]:
    bodies = [
        operation.get("requestBody", {})
        for methods in document["paths"].values()
        for operation in methods.values()
    ]
    return _reached(document, bodies)


def test_no_schema_has_a_default(document: Schema) -> None:
    """A generator makes a key with a default a key that callers must give."""
    parts = [*_components(document).values(), *document["components"]["parameters"].values()]
    assert not [schema for part in parts for schema in _schemas(part) if "default" in schema]
    revision = _components(document)["PricesRequest"]["properties"]["revision"]
    assert "Left out: `latest`." in revision["description"]


def test_maps_say_what_they_hold(document: Schema) -> None:
    """A map is `additionalProperties`, with the form of its keys in `propertyNames`: a wrong price
    in a map is a wrong type."""
    found = [schema for part in _components(document).values() for schema in _schemas(part)]
    assert not [schema for schema in found if "patternProperties" in schema]
    maps = [each for each in found if isinstance(each.get("additionalProperties"), dict)]
    assert all("properties" not in each for each in maps)
    items = _components(document)["PricesRequest"]["properties"]["items"]
    assert items["additionalProperties"] == {"$ref": "#/components/schemas/ItemPriceBody"}
    assert items["propertyNames"] == {"$ref": "#/components/schemas/Id"}


def test_words_among_other_forms_are_choices(document: Schema) -> None:
    """A constant in a union is taken for the only value by a generator: there it is a choice of
    one word."""
    for part in _components(document).values():
        for schema in _schemas(part):
            for member in (*schema.get("anyOf", ()), *schema.get("oneOf", ())):
                assert not isinstance(member.get("const"), str), schema
    station = _components(document)["ProfileEntryRequest"]["properties"]["station"]
    assert {"type": "string", "enum": ["end"]} in station["anyOf"]


def test_objects_of_requests_are_closed(document: Schema) -> None:
    """A key that the service doesn't know is refused by the type already."""
    for name in _of_requests(document):
        for schema in _schemas(_components(document)[name]):
            if "properties" in schema:
                assert schema["additionalProperties"] is False, name


def test_words_of_answers_are_open(document: Schema) -> None:
    """A list of words that callers only read may grow: a text, and `x-words` has those of today.
    Entries of the catalog are files, whose words people write."""
    entries = [name for name in _components(document) if name.endswith("Document")]
    files = _reached(document, [{"$ref": f"#/components/schemas/{name}"} for name in entries])
    answers = _components(document).keys() - _of_requests(document) - files
    open_ones = 0
    for name in answers:
        for schema in _schemas(_components(document)[name]):
            assert len(schema.get("enum", ())) < 2, (name, schema)
            open_ones += "x-words" in schema
            assert schema.get("type") == "string" or "x-words" not in schema
    assert open_ones > 20
    severity = _components(document)["CautionAnswer"]["properties"]["severity"]
    assert severity["x-words"] == ["high", "low", "medium"]


def test_dates_and_times_say_so(document: Schema) -> None:
    """What is called a time or a day has the format of one."""
    for name, schema in _components(document).items():
        for key, part in schema.get("properties", {}).items():
            whole = _components(document).get(part.get("$ref", "").rpartition("/")[2], part)
            if name.startswith("Kept") or name.endswith("Table"):
                continue
            if key.endswith("_at") and whole.get("type") == "string":
                assert whole.get("format") == "date-time", (name, key)
            if key in {"issued_on", "valid_until", "effective_from"}:
                assert whole.get("format") == "date", (name, key)


def test_what_was_kept_has_types_of_its_own(document: Schema) -> None:
    """Where quote and answer are given back, nothing newer than the first release is required,
    further keys are allowed, and no text or word is held to a form of today."""
    roots = [f"#/components/schemas/Kept{name}" for name in ("QuoteRequest", "QuoteAnswer")]
    reached = _reached(document, [{"$ref": root} for root in roots])
    kept = {name for name in reached if name.startswith("Kept")}
    assert all("Measure" in name for name in reached - kept)
    assert len(kept) > 80
    for name in kept - {"KeptMeasure"}:
        for schema in _schemas(_components(document)[name]):
            assert not schema.keys() & {"pattern", "enum", "maximum", "maxLength", "maxItems"}
            assert schema.get("additionalProperties") is not False, name
        required = _components(document)[name].get("required", ())
        assert set(required) <= FIRST_REQUIRED.get(name.removeprefix("Kept"), set()), name
    revision = _components(document)["RevisionAnswer"]["properties"]
    assert revision["answer"] == {"$ref": "#/components/schemas/KeptQuoteAnswer"}


@pytest.mark.parametrize("release", RELEASES)
def test_what_a_release_kept_fits_the_document(document: Schema, release: str) -> None:
    """Bytes that an older engine answered fit today's types."""
    kept = kept_revision(release)
    for name, value in (("KeptQuoteRequest", kept["request"]), ("KeptQuoteAnswer", kept["answer"])):
        whole = {"$ref": f"#/components/schemas/{name}", "components": document["components"]}
        assert not list(Draft202012Validator(whole).iter_errors(value))


def test_each_release_left_a_revision() -> None:
    """Every version before the one that is being worked on has its kept revision."""
    versions = re.findall(r"^## (\S+)", CHANGELOG.read_text(encoding="utf-8"), re.MULTILINE)
    assert set(versions[1:]) <= set(RELEASES)


def test_first_release_is_not_rewritten() -> None:
    """What the first release required stays what it was: by its own examples."""
    first: Mapping[str, Any] = kept_revision("0.1.0")["answer"]
    assert FIRST_REQUIRED["QuoteAnswer"] <= first.keys()
    assert FIRST_REQUIRED["PriceAnswer"] <= first["price"].keys()
    assert all(FIRST_REQUIRED["PriceLineAnswer"] <= line.keys() for line in first["price"]["lines"])
