"""The OpenAPI document: generated from the routes, completed, and put in a fixed order.

Routes describe bodies and answers in `openapi_extra`, with whole JSON Schemas (as pydantic and
msgspec make them). Here their definitions move to `components`, every operation gets the problem
answers, and the examples of `openapi/examples/<operation_id>/` are attached.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import msgspec
from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from service.api.bodies import JSON
from service.api.problems import MAX_ERRORS, MEDIA_TYPE

TITLE = "Retaining wall quotes"
SUMMARY = "A wall spec in; quantities, labor hours and a priced breakdown out."
DESCRIPTION = (
    "Quotes for dry-stacked modular-block retaining walls. Measurements are texts with a unit, "
    "money is decimal text, every error is a problem document (RFC 9457) whose `type` leads to a "
    "page that explains it. Checks are a first look, never a design; local code and licensed "
    "practice decide."
)
DISTRIBUTION = "wall-quote-service"

# Groups of operations, in the order in which the pages show them.
TAGS = (
    ("quotes", "Calculated and answered; nothing is stored."),
    ("saved quotes", "Quotes that are kept: revisions, states, what the job took."),
    ("prices", "Price lists by revision: published, compared, imported; a revision never changes."),
    ("catalog", "What quotes are made of, as loaded, with sources."),
    ("health", "Whether the service lives and can answer."),
)

SCHEMAS = "#/components/schemas/"
_Json = dict[str, Any]


def text(minimum: int = 0, maximum: int = 400) -> _Json:
    """Schema of a text."""
    return {"type": "string", "minLength": minimum, "maxLength": maximum}


PROBLEM_SCHEMA: _Json = {
    "type": "object",
    "title": "Problem",
    "description": "A problem document (RFC 9457); the one shape of every error.",
    "additionalProperties": False,
    "required": ["type", "title", "status", "detail", "instance", "code", "errors", "errors_total"],
    "properties": {
        "type": {
            **text(1, 100),
            "description": "`/problems/{code}`; a page for people stands there.",
        },
        "title": text(1, 200),
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "detail": text(1),
        "instance": {**text(0, 64), "description": "The request id, as in `X-Request-ID`."},
        "code": {"type": "string", "pattern": "^[a-z0-9]+(-[a-z0-9]+)*$", "maxLength": 80},
        "errors": {
            "type": "array",
            "maxItems": MAX_ERRORS,
            "items": {"$ref": f"{SCHEMAS}ProblemEntry"},
        },
        "errors_total": {
            "type": "integer",
            "minimum": 0,
            "description": "How many faults were found; `errors` holds the first of them.",
        },
    },
}
PROBLEM_ENTRY_SCHEMA: _Json = {
    "type": "object",
    "title": "ProblemEntry",
    "description": "One fault of a request.",
    "additionalProperties": False,
    "required": ["pointer", "message", "code", "hint"],
    "properties": {
        "pointer": {**text(), "description": "Where it is in the body: a JSON Pointer (RFC 6901)."},
        "message": text(1),
        "code": {"type": "string", "pattern": "^[a-z0-9]+(-[a-z0-9]+)*$", "maxLength": 80},
        "hint": {
            "type": ["string", "null"],
            "maxLength": 400,
            "description": "What would be right.",
        },
    },
}
_ANY = ("400", "403", "406", "413", "429", "431", "500")
_PROBLEM_WORDS = {
    "400": "The request can't be read.",
    "403": "The host name or the origin is refused.",
    "404": "There is no such thing.",
    "406": "No form of the answer fits `Accept`.",
    "413": "The body is larger than 1 MiB.",
    "415": "The body is not declared as JSON in UTF-8.",
    "422": "The request has faults; `errors` lists them.",
    "429": "Too many requests; `Retry-After` says how long to wait.",
    "431": "The head of the request is larger than 16 KiB.",
    "500": "The service failed; the log has an entry under the request id.",
}


def openapi_document(app: FastAPI) -> _Json:
    """The whole document, in a fixed order of keys."""
    raw = get_openapi(
        title=TITLE,
        version=version(DISTRIBUTION),
        summary=SUMMARY,
        description=DESCRIPTION,
        routes=app.routes,
    )
    document = copy.deepcopy(raw)
    schemas: _Json = {"Problem": PROBLEM_SCHEMA, "ProblemEntry": PROBLEM_ENTRY_SCHEMA}
    examples = _examples_folder()
    for path, operation in _operations(document):
        _add_problems(path, operation)
        if examples is not None:
            _add_examples(operation, examples)
        for media in _media(operation):
            _move_definitions(media, schemas)
    document["components"] = {"schemas": schemas}
    document["tags"] = [{"name": name, "description": words} for name, words in TAGS]
    # The framework turns every bound into a float; a bound of 200.0 is 200.
    ordered: _Json = json.loads(json.dumps(document, sort_keys=True), parse_float=_number)
    return ordered


def openapi_text(app: FastAPI) -> str:
    """The document as it is committed: sorted, indented, one line break at the end."""
    return json.dumps(openapi_document(app), indent=2, sort_keys=True, ensure_ascii=False) + "\n"


def json_content(schema: _Json) -> _Json:
    """The `content` of a JSON body or answer with this schema."""
    return {JSON: {"schema": schema}}


def answer_schema(answer: type[msgspec.Struct]) -> _Json:
    """The schema of an answer, in one piece with its definitions; closed and bounded."""
    (reference,), definitions = msgspec.json.schema_components([answer])
    name = reference["$ref"].rpartition("/")[2]
    schemas = {key: _closed(value) for key, value in definitions.items()}
    schema: _Json = schemas.pop(name)
    return {**schema, "$defs": schemas}


def _closed(schema: _Json) -> _Json:
    """An object of the answer has the keys that are listed and no others."""
    return {**schema, "additionalProperties": False}


def _number(digits: str) -> float:
    value = float(digits)
    return int(value) if value.is_integer() else value


def _operations(document: _Json) -> Iterator[tuple[str, _Json]]:
    for path, methods in document["paths"].items():
        for operation in methods.values():
            yield path, operation


def _media(operation: _Json) -> Iterator[_Json]:
    """Every media type object of an operation."""
    yield from operation.get("requestBody", {}).get("content", {}).values()
    for response in operation["responses"].values():
        yield from response.get("content", {}).values()


def _add_problems(path: str, operation: _Json) -> None:
    """Document the problems an operation can answer with, and drop the framework's own schema."""
    responses = operation["responses"]
    statuses = set(_ANY)
    if "requestBody" in operation:
        statuses |= {"415", "422"}
    if any(parameter["in"] == "query" for parameter in operation.get("parameters", ())):
        statuses.add("422")
    if "{" in path:
        statuses.add("404")
    content = {MEDIA_TYPE: {"schema": {"$ref": f"{SCHEMAS}Problem"}}}
    for status in sorted(statuses):
        responses[status] = {"description": _PROBLEM_WORDS[status], "content": dict(content)}
    for status, response in responses.items():
        if status.startswith(("4", "5")) and "content" not in response:
            response["content"] = dict(content)


def _add_examples(operation: _Json, folder: Path) -> None:
    """Attach `<case>.request.json` to the body and `<case>.response.json` to its status."""
    own = folder / operation["operationId"]
    for file in sorted(own.glob("*.json")) if own.is_dir() else ():
        case, direction, _ = file.name.split(".")
        value = json.loads(file.read_text(encoding="utf-8"))
        target = _example_target(operation, direction, value)
        target.setdefault("examples", {})[case] = {"value": value}


def _example_target(operation: _Json, direction: str, value: object) -> _Json:
    """The media type object an example belongs to: a problem to its status, the rest to 200."""
    content: _Json
    if direction == "request":
        content = operation["requestBody"]["content"]
        media_type = JSON
    elif isinstance(value, dict) and "errors_total" in value:
        content = operation["responses"][str(value["status"])]["content"]
        media_type = MEDIA_TYPE
    else:
        content = operation["responses"]["200"]["content"]
        media_type = JSON
    media: _Json = content[media_type]
    return media


def _move_definitions(media: _Json, schemas: _Json) -> None:
    """Move a schema's definitions, and the schema itself if it has a title, to `components`."""
    schema = media.get("schema", {})
    found = schema.pop("$defs", {})
    title = schema.get("title")
    if title and title.isidentifier():
        found[title] = schema
        media["schema"] = {"$ref": f"{SCHEMAS}{title}"}
    else:
        _point_to_components(schema)
    for name, definition in found.items():
        _point_to_components(definition)
        if schemas.setdefault(name, definition) != definition:
            raise ValueError(f"two different schemas are called {name}")


def _point_to_components(schema: object) -> None:
    """Turn references to a schema's own definitions into references to `components`."""
    if isinstance(schema, list):
        for part in schema:
            _point_to_components(part)
    elif isinstance(schema, dict):
        reference = schema.get("$ref")
        if isinstance(reference, str):
            schema["$ref"] = reference.replace("#/$defs/", SCHEMAS)
        discriminator = schema.get("discriminator")
        if isinstance(discriminator, dict) and "mapping" in discriminator:
            mapping = discriminator["mapping"]
            discriminator["mapping"] = {
                name: str(target).replace("#/$defs/", SCHEMAS) for name, target in mapping.items()
            }
        for part in schema.values():
            _point_to_components(part)


def _examples_folder() -> Path | None:
    """`openapi/examples`, wherever the package that holds it is installed."""
    spec = find_spec("service_openapi")
    places = list(spec.submodule_search_locations or ()) if spec else []
    folder = Path(places[0]) / "examples" if places else None
    return folder if folder is not None and folder.is_dir() else None
