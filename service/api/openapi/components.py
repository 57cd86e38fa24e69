"""The parts of the document that are named and stand once: schemas, parameters, answers, headers.

A schema goes in with its definitions; what a field type publishes (`service/fields/`) becomes a
reference to that type, wherever it stands.
"""

from __future__ import annotations

import inspect
from typing import Any

from service.api.openapi.named_types import as_named, named_schemas
from service.api.openapi.problem_parts import HEADERS, PROBLEM_SCHEMAS, PROBLEMS, problem_example
from service.api.openapi.schemas import shape_schema
from service.api.openapi.shaping import DATA, NAMED, default_in_words
from service.api.operation import JsonSchema, Parameter, Shape
from service.api.problems import MEDIA_TYPE

SCHEMAS = "#/components/schemas/"


class Components:
    """Collects the parts while the operations are written out."""

    def __init__(self) -> None:
        self._schemas: JsonSchema = {}
        self._parameters: JsonSchema = {}
        self._responses: JsonSchema = {}
        self._headers: JsonSchema = {}
        for name, schema in PROBLEM_SCHEMAS.items():
            self._add(name, schema)

    def parts(self) -> JsonSchema:
        """All parts, as they stand in the document."""
        parts = {
            "schemas": self._schemas,
            "parameters": self._parameters,
            "responses": self._responses,
            "headers": self._headers,
        }
        return {kind: dict(sorted(named.items())) for kind, named in parts.items()}

    def schema(self, shape: Shape) -> JsonSchema:
        """A schema for the document: a reference where the shape has a name.

        Raises ValueError where two different schemas have one name.
        """
        whole = shape_schema(shape)
        own = {key: value for key, value in whole.items() if key != "$defs"}
        for name, definition in whole.get("$defs", {}).items():
            self._add(name, definition)
        if "title" not in own:
            return self._parts_of(own)
        self._add(own["title"], own)
        return {"$ref": f"{SCHEMAS}{own['title']}"}

    def parameter(self, parameter: Parameter) -> JsonSchema:
        """A reference to a parameter."""
        schema = default_in_words({**parameter.schema, "description": parameter.description})
        written = {
            "name": parameter.name,
            "in": parameter.within,
            "required": parameter.required,
            "description": schema.pop("description"),
            "schema": schema,
        }
        if self._parameters.setdefault(parameter.component, written) != written:
            raise ValueError(f"two different parameters are called {parameter.component}")
        return {"$ref": f"#/components/parameters/{parameter.component}"}

    def header(self, name: str) -> JsonSchema:
        """A reference to a header of answers."""
        component = name.replace("-", "")
        self._headers[component] = HEADERS[name]
        return {"$ref": f"#/components/headers/{component}"}

    def problem(self, status: int) -> JsonSchema:
        """A reference to the answer of a status of refusal."""
        name = PROBLEMS[status].name
        response = self.problem_response(status)
        media = response["content"][MEDIA_TYPE]
        shown = {"content": {MEDIA_TYPE: {**media, "example": problem_example(status)}}}
        self._responses[name] = {**response, **shown}
        return {"$ref": f"#/components/responses/{name}"}

    def problem_response(self, status: int) -> JsonSchema:
        """That answer, written out."""
        problem = PROBLEMS[status]
        headers = {name: self.header(name) for name in problem.headers}
        return {
            "description": problem.description,
            "content": {MEDIA_TYPE: {"schema": {"$ref": f"{SCHEMAS}Problem"}}},
            **({"headers": headers} if headers else {}),
        }

    def _add(self, name: str, schema: JsonSchema) -> None:
        # A title that is the name once more says nothing.
        bare = {key: value for key, value in schema.items() if key != "title" or value != name}
        pointed = self._pointed(bare)
        if self._schemas.setdefault(name, pointed) != pointed:
            raise ValueError(f"two different schemas are called {name}")

    def _pointed(self, schema: Any) -> Any:  # noqa: ANN401  any part of a schema
        """A schema whose references lead to the parts of the document, and whose words have the
        line breaks of a paragraph."""
        if isinstance(schema, list):
            return [self._pointed(part) for part in schema]
        if not isinstance(schema, dict):
            return schema
        if (named := as_named(schema)) is not None:
            name, reference = named
            self._schemas[name] = self._parts_of(named_schemas()[name])
            return reference
        return self._parts_of(schema)

    def _parts_of(self, schema: JsonSchema) -> JsonSchema:
        return {key: self._part(key, value) for key, value in schema.items()}

    def _part(self, key: str, value: Any) -> Any:  # noqa: ANN401  any part of a schema
        if key in DATA:
            return value
        if key in NAMED:
            return {name: self._pointed(named) for name, named in value.items()}
        if key == "description" and isinstance(value, str):
            return inspect.cleandoc(value)
        if key in {"$ref", "mapping"}:
            return _moved(value)
        return self._pointed(value)


def _moved(target: Any) -> Any:  # noqa: ANN401  an address, or a mapping of them
    if isinstance(target, dict):
        return {key: _moved(value) for key, value in target.items()}
    return target.replace("#/$defs/", SCHEMAS)
