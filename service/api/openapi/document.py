"""The OpenAPI document: the rows of the table, written out in their order; parts by name."""

from __future__ import annotations

import inspect
import json
from collections.abc import Iterable
from importlib.metadata import version
from typing import Any

from service.api.bodies import JSON, MAX_BODY_BYTES, MOST_KEYS
from service.api.late import found
from service.api.openapi import TITLE
from service.api.openapi.components import Components
from service.api.openapi.examples import Examples
from service.api.openapi.links import links_of
from service.api.operation import Answer, Body, JsonSchema, Operation
from service.api.problems import MEDIA_TYPE
from service.json_text import DEEPEST
from service.operations.callers.webhook_message import WebhookMessage
from service.operations.ruled import BOUNDS

SUMMARY = "A wall spec in; quantities, labor hours and a priced breakdown out."
DESCRIPTION = (
    "Quotes for dry-stacked modular-block retaining walls. Measurements are texts with a unit, "
    "money is decimal text, every error is a problem document (RFC 9457) whose `type` leads to a "
    "page that explains it. Checks are a first look, never a design; local code and licensed "
    "practice decide. "
    f"A JSON body has at most {MAX_BODY_BYTES >> 20} MiB, {DEEPEST} levels, {MOST_KEYS:,} keys at "
    f"its top, and {BOUNDS.values:,} values, lists and objects among them, of which "
    f"{BOUNDS.items:,} in one list or table; an operation that takes more says so."
)
DISTRIBUTION = "wall-quote-service"
LINE_LENGTH = 100
# How a caller shows who it is. What a key may do are its scopes, of which one is enough.
KEY = "key"
_KEY_SCHEME = {
    "type": "http",
    "scheme": "bearer",
    "description": (
        "A key, as `python -m service keys new` prints it. `field` is for quotes without money, "
        "`quotes` for those with it and for saved ones, `prices` for price lists and re-pricing, "
        "`admin` for keys and the running of the service, `website` for the form and its price "
        "range. Until the first key is made the service answers its own machine without one."
    ),
}

# Groups of operations, in the order in which the pages show them.
TAGS = (
    ("quotes", "Calculated and answered; nothing is stored."),
    ("saved quotes", "Quotes that are kept: revisions, states, what the job took."),
    ("re-pricings", "Saved quotes on new prices: previewed, then written."),
    ("prices", "Price lists by revision: published, compared, imported; a revision never changes."),
    ("webhooks", "Where events are sent, signed, and what came of it."),
    ("catalog", "What quotes are made of, as loaded, with sources."),
    ("keys", "Who may call, and for what."),
    ("events", "What changed, when and by whom, in order and without gaps."),
    ("health", "Whether the service lives and can answer."),
)

# Standard Webhooks 1.0: by name, meaning and schema.
SENT_HEADERS = (
    ("webhook-id", "The event's id, the same in each attempt.", {"type": "string"}),
    ("webhook-timestamp", "When it was sent, in seconds since 1970.", {"type": "string"}),
    (
        "webhook-signature",
        "`v1,` and a base64 HMAC-SHA256; two, a space between, while the secret is rotated.",
        {"type": "string"},
    ),
)


def openapi_document(operations: Iterable[Operation]) -> JsonSchema:
    """The whole document: operations as they stand in the table."""
    components = Components()
    paths: JsonSchema = {}
    rows = [operation for operation in operations if operation.tag is not None]
    known = {row.id for row in rows}
    for row in rows:
        written = _operation(row, components)
        _add_links(written["responses"], links_of(row.id, known))
        paths.setdefault(row.path, {})[row.method.lower()] = written
    return {
        "openapi": "3.1.0",
        "info": {
            "title": TITLE,
            "summary": SUMMARY,
            "description": DESCRIPTION,
            "version": version(DISTRIBUTION),
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        # Where the document was read.
        "servers": [{"url": "/", "description": "This service."}],
        "security": [{KEY: []}],
        "tags": [{"name": name, "description": words} for name, words in TAGS],
        "paths": paths,
        "webhooks": {"event": {"post": _event_sent(components)}},
        "components": {**components.parts(), "securitySchemes": {KEY: _KEY_SCHEME}},
    }


def openapi_text(operations: Iterable[Operation]) -> str:
    """The document as it is committed: indented, one line break at the end. What fits in a line
    stands in one, which halves the file."""
    return _text(openapi_document(operations)) + "\n"


def _text(value: Any, head: str = "", indent: int = 0) -> str:  # noqa: ANN401  any part of it
    """A part of the document as it stands after `head`, so many spaces in."""
    line = f"{' ' * indent}{head}{json.dumps(value, ensure_ascii=False)}"
    if len(line) < LINE_LENGTH or not value or not isinstance(value, (dict, list)):
        return line
    if isinstance(value, dict):
        parts = [_text(part, f"{json.dumps(key)}: ", indent + 1) for key, part in value.items()]
    else:
        parts = [_text(part, "", indent + 1) for part in value]
    opening, closing = "{}" if isinstance(value, dict) else "[]"
    inside = ",\n".join(parts)
    return f"{' ' * indent}{head}{opening}\n{inside}\n{' ' * indent}{closing}"


def _event_sent(components: Components) -> JsonSchema:
    """What receivers of webhooks are sent."""
    headers = [
        {"name": name, "in": "header", "required": True, "description": words, "schema": schema}
        for name, words, schema in SENT_HEADERS
    ]
    return {
        "operationId": "receive_event",
        "summary": "An event, sent to a webhook",
        "description": "Check the signature before anything else. Any status of 2xx takes the "
        "message; the same id may come more than once.",
        "tags": ["webhooks"],
        "parameters": headers,
        "requestBody": {
            "required": True,
            "content": {"application/json": {"schema": components.schema(WebhookMessage)}},
        },
        "responses": {
            "204": {"description": "Taken."},
            "410": {"description": "Gone for good: the webhook is switched off."},
        },
    }


def _operation(operation: Operation, components: Components) -> JsonSchema:
    examples = Examples(operation)
    written: JsonSchema = {
        "operationId": operation.id,
        "summary": operation.summary,
        "tags": [operation.tag],
        "security": _security(operation),
        "responses": _responses(operation, components, examples),
    }
    if words := inspect.getdoc(found(operation.handler)):
        written["description"] = words
    if parameters := [components.parameter(each) for each in operation.each_parameter()]:
        written["parameters"] = parameters
    if operation.body is not None:
        written["requestBody"] = _body(operation.body, components, examples)
    return written


def _security(operation: Operation) -> list[JsonSchema]:
    """Which scopes a key has one of: each stands for itself, `quotes` for `field` too."""
    if operation.scopes == ("public",):
        return []
    scopes = [*operation.scopes]
    if "field" in scopes and "quotes" not in scopes:
        scopes.append("quotes")
    return [{KEY: [scope]} for scope in scopes]


def _body(body: Body, components: Components, examples: Examples) -> JsonSchema:
    content: JsonSchema = {
        media_type: {"schema": components.schema(shape), **examples.of_body(media_type)}
        for media_type, shape in body.shapes.items()
    }
    words = {"description": body.description} if body.description else {}
    return {"required": body.required, "content": content, **words}


def _responses(
    operation: Operation, components: Components, examples: Examples
) -> dict[str, JsonSchema]:
    answers = {str(each.status): _answer(each, components, examples) for each in operation.answers}
    problems: dict[str, JsonSchema] = {
        str(status): _problem(status, components, examples) for status in operation.problems
    }
    return answers | problems


def _add_links(responses: dict[str, JsonSchema], links: JsonSchema) -> None:
    """What a success names can be asked for: the links stand at its response."""
    for status, response in responses.items():
        if links and status.startswith("2") and "content" in response:
            response["links"] = links


def _answer(answer: Answer, components: Components, examples: Examples) -> JsonSchema:
    written: JsonSchema = {"description": answer.description}
    if answer.shapes:
        written["content"] = {
            media_type: {
                "schema": components.schema(shape),
                **(examples.of_answer(answer.status) if media_type == JSON else {}),
            }
            for media_type, shape in answer.shapes.items()
        }
    if answer.headers:
        written["headers"] = {name: components.header(name) for name in answer.headers}
    return written


def _problem(status: int, components: Components, examples: Examples) -> JsonSchema:
    """The shared answer of a status; where the operation has examples of its own, one with them."""
    shown = examples.of_answer(status)
    if not shown:
        return components.problem(status)
    response = components.problem_response(status)
    return {**response, "content": {MEDIA_TYPE: {**response["content"][MEDIA_TYPE], **shown}}}
