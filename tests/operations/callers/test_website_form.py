"""The form of a website: flat, complete, in each language, and understood by a form library."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from service.catalog.documents.company import Language
from service.operations.callers.website.form import form
from tests.given.catalogs import shipped_catalog
from tests.given.visitors import LEAD, PLAIN

LANGUAGES: tuple[Language, ...] = ("en", "es")
MOST_QUESTIONS, ENOUGH = 12, 8
FIGURE = re.compile(r"[0-9]+(?:\.[0-9]+)?")


def shown(language: Language = "en") -> dict[str, Any]:
    """The form of the demo."""
    return form(shipped_catalog().websites["demo_site"].core, language)


def schemas(language: Language) -> Iterator[dict[str, Any]]:
    """The schemas of a form: of the answers, and of a lead."""
    given = shown(language)
    yield given["schema"]
    yield given["lead_schema"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_form_schemas_are_flat(language: Language) -> None:
    """Fields are texts and a tick: no null, no condition, nothing below a field, all explained."""
    for schema in schemas(language):
        Draft202012Validator.check_schema(schema)
        for name, field in schema["properties"].items():
            assert field["type"] in ("string", "boolean"), name
            assert {"title", "description", "examples"} <= set(field)
            assert not {"if", "anyOf", "allOf", "properties", "$ref", "enum"} & set(field)
            assert all(set(choice) == {"const", "title"} for choice in field.get("oneOf", ()))
        assert schema["additionalProperties"] is False


def test_form_asks_little() -> None:
    """At most twelve questions, eight of them enough."""
    schema = shown()["schema"]
    assert len(schema["properties"]) <= MOST_QUESTIONS
    assert len(schema["required"]) <= ENOUGH
    assert Draft202012Validator(schema).is_valid(PLAIN)


@pytest.mark.parametrize("language", LANGUAGES)
def test_form_examples_fit(language: Language) -> None:
    """Each example fits its field; one field after the other spoilt doesn't fit any more."""
    for schema in schemas(language):
        fields = schema["properties"]
        filled = {name: field["examples"][0] for name, field in fields.items()}
        check = Draft202012Validator(schema)
        assert list(check.iter_errors(filled)) == []
        for name, field in fields.items():
            spoilt = 7 if "pattern" not in field else "<script>"
            if field.get("pattern") == r"^\S.*$":
                spoilt = " "
            assert not check.is_valid({**filled, name: spoilt}), name
    assert Draft202012Validator(shown()["lead_schema"]).is_valid(LEAD)


def test_form_is_laid_out_once() -> None:
    """Each field stands in one group, of the part that it belongs to, in the form's order."""
    given = shown()
    for part, schema in (("answers", given["schema"]), ("lead", given["lead_schema"])):
        fields = [
            name for group in given["layout"] if group["part"] == part for name in group["fields"]
        ]
        assert fields == list(schema["properties"])
    assert given["defaults"] == {"line": "straight"}


def test_form_says_the_unit_of_what_is_estimated() -> None:
    """Length and height have the units in which the website asks for them, no other field one."""
    site = shipped_catalog().websites["demo_site"].core
    assert shown()["units"] == {"length": "ft", "height": "ft"}
    metric = replace(
        site, length=replace(site.length, unit="m"), height=replace(site.height, unit="cm")
    )
    assert form(metric, "es")["units"] == {"length": "m", "height": "cm"}


def test_form_is_said_in_its_language() -> None:
    """All words differ but those that are the same in both: ids and examples stay."""
    english, spanish = shown("en"), shown("es")
    for part in ("schema", "lead_schema"):
        for name, field in english[part]["properties"].items():
            other = spanish[part]["properties"][name]
            assert field["title"] != other["title"]
            assert field["description"] != other["description"]
            assert field["examples"] == other["examples"]
            titles = [choice["title"] for choice in field.get("oneOf", ())]
            assert not set(titles) & {choice["title"] for choice in other.get("oneOf", ())}
    assert (english["language"], spanish["language"]) == ("en", "es")


def test_form_names_the_unit_and_the_bounds() -> None:
    """A length says in which unit it is answered, to what it is read, and between what."""
    fields = shown()["schema"]["properties"]
    assert "feet" in fields["length"]["title"]
    found = {name: FIGURE.findall(fields[name]["description"]) for name in ("length", "height")}
    assert found == {"length": ["5", "200", "5"], "height": ["1", "20", "0.5"]}
