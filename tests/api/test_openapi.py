"""The OpenAPI document: complete, valid, the same each time, and committed."""

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from openapi_spec_validator import OpenAPIV31SpecValidator
from starlette.testclient import TestClient

from service import fields
from service.api.app import OPERATIONS
from service.api.openapi import examples
from service.api.openapi.document import openapi_document, openapi_text
from service.api.operation import Answer, Operation
from service.cli.openapi import document_path, openapi_document_text

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

Document = dict[str, Any]
LARGEST_BYTES = 450_000
BYTES_OF_ONE, OPERATIONS_THEN = 4_000, 57  # for each operation that was added since
PROBLEM = {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}


def _operations(document: Document) -> list[tuple[str, str, Document]]:
    return [
        (method, path, operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    ]


def _followed(document: Document, part: Document) -> Document:
    """A part of the document, or the one that it refers to."""
    while "$ref" in part:
        found: Any = document
        for step in part["$ref"].removeprefix("#/").split("/"):
            found = found[step]
        part = found
    return part


def _nodes(part: object) -> Iterator[Document]:
    """Every object of the document, examples left out."""
    if isinstance(part, dict):
        yield part
        for key, below in part.items():
            if key not in {"examples", "default"}:
                yield from _nodes(below)
    elif isinstance(part, list):
        for below in part:
            yield from _nodes(below)


def test_committed_document_is_current() -> None:
    """The committed document is what the routes say now."""
    committed = document_path().read_text(encoding="utf-8")
    assert committed == openapi_document_text(), (
        "openapi/openapi.json is out of date; run: python -m service openapi --write"
    )


def test_document_is_valid(document: Document) -> None:
    """The document is OpenAPI 3.1."""
    assert document["openapi"].startswith("3.1.")
    OpenAPIV31SpecValidator(document).validate()


def test_document_is_served(client: TestClient, document: Document) -> None:
    """What is served is the document, with an ETag."""
    response = client.get("/openapi.json")
    assert response.json() == document
    again = client.get("/openapi.json", headers={"If-None-Match": response.headers["etag"]})
    assert again.status_code == 304


def test_document_has_every_operation_and_no_page(document: Document) -> None:
    """What takes or gives data is in the document; pages for people and their files are not."""
    data = {(each.method.lower(), each.path) for each in OPERATIONS if each.form not in PAGES}
    documented = {(method, path) for method, path, _ in _operations(document)}
    assert documented == data - {("get", "/openapi.json")}


PAGES = ("page", "file")


def test_document_gives_the_statuses_of_the_rows(document: Document) -> None:
    """An operation's statuses are those of its answers and of its refusals."""
    rows = {each.id: each for each in OPERATIONS}
    for _, _, operation in _operations(document):
        row = rows[operation["operationId"]]
        statuses = {answer.status for answer in row.answers} | set(row.problems)
        assert set(operation["responses"]) == {str(status) for status in statuses}


def test_every_operation_documents_its_problems(document: Document) -> None:
    """Each refusal is the one problem schema; each has the answer that all operations share, or
    the same with examples of its own."""
    for _, path, operation in _operations(document):
        responses = operation["responses"]
        assert {"400", "403", "406", "413", "429", "500"} <= set(responses), path
        for status, response in responses.items():
            if status >= "4":
                content = _followed(document, response)["content"]
                bare = {kind: {"schema": media["schema"]} for kind, media in content.items()}
                assert bare == PROBLEM
                assert "$ref" in response or "examples" in content["application/problem+json"]


def test_every_reference_leads_to_a_part(document: Document) -> None:
    """No reference is loose, and no part stands there for nothing."""
    used = {node["$ref"] for node in _nodes(document) if isinstance(node.get("$ref"), str)}
    parts = {
        f"#/components/{kind}/{name}"
        for kind, named in document["components"].items()
        for name in named
        if kind != "securitySchemes"  # named by each operation, not referred to
    }
    assert used == parts


def test_document_says_field_types_once(document: Document) -> None:
    """What a measure, an amount or an id may look like stands in a schema of its own, and is
    written out nowhere else; parameters are never written out in an operation."""
    schemas: Document = document["components"]["schemas"]
    types = {name for name in fields.__all__ if name in schemas}
    assert {"Length", "PositiveLength", "Id", "MoneyText", "RatioText"} <= types
    once = {_form(schemas[name]) for name in types if len(_form(schemas[name])) > 60}
    for name in schemas.keys() - types:
        _, *inside = _nodes(schemas[name])
        assert not [node for node in inside if _form(node) in once], name
    for _, path, operation in _operations(document):
        assert all(list(each) == ["$ref"] for each in operation.get("parameters", ())), path


def _form(schema: Document) -> str:
    """What a schema says beside words."""
    words = {"description", "examples", "default", "title"}
    return json.dumps({key: schema[key] for key in schema if key not in words}, sort_keys=True)


def test_document_is_small(document: Document, client: TestClient) -> None:
    """It is read by people and by generators: 450 kB are enough, and 4 kB for each operation that
    is added, and for each that answers the field in a form of its own."""
    operations = _operations(document)
    added = max(0, len(operations) - OPERATIONS_THEN)
    added += sum("schemas/Field" in json.dumps(each) for _, _, each in operations)
    assert len(client.get("/openapi.json").content) <= LARGEST_BYTES + added * BYTES_OF_ONE
    assert document["components"]["schemas"]["PositiveLength"]["anyOf"]


def test_operation_ids_are_function_names(document: Document) -> None:
    """An operation is called like the function that serves it: words joined by underscores."""
    ids = [operation["operationId"] for _, _, operation in _operations(document)]
    assert len(set(ids)) == len(ids)
    assert {"list_soils", "read_wall_system", "reload_catalog", "read_live"} <= set(ids)
    assert all(operation_id.isidentifier() for operation_id in ids)


def test_every_operation_says_what_it_answers(document: Document) -> None:
    """Each operation has a summary; each success has schemas, or nothing to say."""
    for _, path, operation in _operations(document):
        assert operation["summary"], path
        successes = [status for status in operation["responses"] if status.startswith("2")]
        assert successes, path
        for status in successes:
            contents = operation["responses"][status].get("content", {})
            assert bool(contents) is (status != "204"), path
            assert all(content["schema"] for content in contents.values()), path


def test_openapi_text_is_the_same_each_time(document: Document) -> None:
    """The text follows the table, so that nothing but a change of the API changes it. Its lines
    are short: only what can't be broken is longer."""
    text = openapi_text(OPERATIONS)
    assert text == openapi_text(OPERATIONS)
    assert json.loads(text) == document
    assert json.dumps(json.loads(text)) == json.dumps(document)
    one_text = re.compile(r'\s*("[^"]+": )?"(?:[^"\\]|\\.)*",?')
    assert all(len(line) <= 100 or one_text.fullmatch(line) for line in text.splitlines())


def _with_examples(monkeypatch: pytest.MonkeyPatch, folder: Path, shown: str = "") -> Document:
    """The reload of the catalog in a document with the examples of a folder."""
    monkeypatch.setattr(examples, "examples_folder", lambda: folder)
    (row,) = (each for each in OPERATIONS if each.id == "reload_catalog")
    document = openapi_document([replace(row, example=shown)])
    operation: Document = document["paths"]["/v1/catalog/reload"]["post"]
    return operation


def test_examples_stand_where_they_belong(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A request that was answered well is an example of the body, a problem one of its status;
    the request that brought it about is none, and of the answers one is shown."""
    folder = tmp_path / "reload_catalog"
    folder.mkdir()
    files: dict[str, Any] = {
        "plain.request.json": {},
        "plain.response.json": {"version": "0" * 64, "counts": {}},
        "rich.request.json": {},
        "rich.response.json": {"version": "1" * 64, "counts": {}},
        "faulty.request.json": {"a": 1},
        "faulty.response.json": {"type": "/problems/x", "status": 422, "errors_total": 0},
    }
    for name, value in files.items():
        (folder / name).write_text(json.dumps(value), encoding="utf-8")
    operation = _with_examples(monkeypatch, tmp_path, shown="rich")
    body = operation["requestBody"]["content"]["application/json"]
    assert body["examples"] == {"plain": {"value": {}}, "rich": {"value": {}}}
    answer = operation["responses"]["200"]["content"]["application/json"]
    assert answer["examples"] == {"rich": {"value": files["rich.response.json"]}}
    problem = operation["responses"]["422"]["content"]["application/problem+json"]
    assert problem["examples"] == {"faulty": {"value": files["faulty.response.json"]}}
    assert operation["responses"]["400"] == {"$ref": "#/components/responses/RequestMalformed"}


def _row(schema: Document) -> Operation:
    (row,) = (each for each in OPERATIONS if each.id == "read_live")
    answer = Answer(description="", shapes={"application/json": schema})
    return replace(row, id="other", path="/v1/other", answers=(answer,))


def test_definitions_of_one_name_must_agree() -> None:
    """Two schemas of one name that differ are an error, not a silent choice."""
    other = {"$ref": "#/$defs/Problem", "$defs": {"Problem": {"type": "string"}}}
    with pytest.raises(ValueError, match="Problem"):
        openapi_document([_row(other)])
