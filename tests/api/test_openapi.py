"""The OpenAPI document: complete, valid, the same each time, and committed."""

import json
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.routing import iter_route_contexts
from openapi_spec_validator import OpenAPIV31SpecValidator
from starlette.testclient import TestClient

from service.api import openapi as openapi_module
from service.api.app import create_app
from service.api.openapi import json_content, openapi_document, openapi_text
from service.catalog import Catalog
from service.cli.openapi import document_path, openapi_document_text
from service.settings import Settings

Document = dict[str, Any]


def _operations(document: Document) -> list[tuple[str, str, Document]]:
    return [
        (method, path, operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    ]


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


def test_document_lists_every_route(app: FastAPI, document: Document) -> None:
    """No route of the API is left out."""
    routes = {
        (method.lower(), route.path)
        for route in iter_route_contexts(app.routes)
        if route.path and route.path.startswith(("/v1/", "/health/"))
        for method in route.methods or ()
    }
    assert routes == {(method, path) for method, path, _ in _operations(document)}


def test_every_operation_documents_its_problems(document: Document) -> None:
    """Each error status of each operation is the one problem schema, and nothing else is."""
    content = {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}
    for _, path, operation in _operations(document):
        responses = operation["responses"]
        assert {"400", "403", "406", "413", "429", "500"} <= set(responses), path
        if "{" in path:
            assert "404" in responses
        if "requestBody" in operation:
            assert {"415", "422"} <= set(responses)
        for status, response in responses.items():
            if status >= "4":
                schema = response["content"]["application/problem+json"]["schema"]
                assert {"application/problem+json": {"schema": schema}} == content
                assert list(response["content"]) == ["application/problem+json"]
    assert "ValidationError" not in json.dumps(document)


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


def test_openapi_text_is_the_same_each_time(app: FastAPI) -> None:
    """The text is sorted, so that nothing but a change of the API changes it."""
    text = openapi_text(app)
    assert text == openapi_text(app)
    assert text == json.dumps(json.loads(text), indent=2, sort_keys=True, ensure_ascii=False) + "\n"


def test_examples_are_attached_by_operation_and_status(
    app: FastAPI, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`<operation>/<case>.request.json` goes to the body, a response to its own status."""
    folder = tmp_path / "reload_catalog"
    folder.mkdir()
    files = {
        "plain.request.json": {},
        "plain.response.json": {"version": "0" * 64, "counts": {}},
        "faulty.response.json": {"type": "/problems/x", "status": 422, "errors_total": 0},
    }
    for name, value in files.items():
        (folder / name).write_text(json.dumps(value), encoding="utf-8")
    monkeypatch.setattr(openapi_module, "_examples_folder", lambda: tmp_path)
    operation = openapi_document(app)["paths"]["/v1/catalog/reload"]["post"]
    body = operation["requestBody"]["content"]["application/json"]
    assert body["examples"] == {"plain": {"value": {}}}
    answer = operation["responses"]["200"]["content"]["application/json"]
    assert answer["examples"] == {"plain": {"value": files["plain.response.json"]}}
    problem = operation["responses"]["422"]["content"]["application/problem+json"]
    assert problem["examples"] == {"faulty": {"value": files["faulty.response.json"]}}


def test_definitions_of_one_name_must_agree(catalog: Catalog) -> None:
    """Two schemas of one name that differ are an error, not a silent choice."""
    app = create_app(Settings.model_construct(), catalog)
    other = {"$ref": "#/$defs/Problem", "$defs": {"Problem": {"type": "string"}}}

    @app.get("/v1/other", openapi_extra={"responses": {"200": {"content": json_content(other)}}})
    async def read_other() -> None:
        return None

    with pytest.raises(ValueError, match="Problem"):
        openapi_document(app)
