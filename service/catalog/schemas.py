"""JSON Schemas of the catalog's files, generated from their documents."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from service.catalog.discovery import package_folders
from service.catalog.kinds import KINDS

DIALECT = "https://json-schema.org/draft/2020-12/schema"
SHIPPED_PACKAGE = "service_catalog"
FOLDER = "schema"


class TomlSchema(GenerateJsonSchema):
    """pydantic's generator without what TOML doesn't have: a key is there or it isn't, never null.
    Keys speak for themselves, so they get no titles."""

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        """The schema of what stands there if anything does."""
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        """No default is printed where leaving the key out means that there is nothing."""
        if "default" in schema and schema["default"] is None:
            return self.generate_inner(schema["schema"])
        return super().default_schema(schema)

    def field_title_should_be_set(self, schema: Any) -> bool:  # noqa: ANN401  pydantic's union
        """No titles made of keys."""
        del schema
        return False


def document_schema(kind: str) -> dict[str, Any]:
    """JSON Schema 2020-12 of an entry of a kind, as it stands in a file and comes out again.

    Raises KeyError for no kind.
    """
    return KINDS[kind].document.model_json_schema(mode="validation", schema_generator=TomlSchema)


def schema_files() -> dict[str, str]:
    """Text of every schema file by its name: the same bytes each time."""
    return {
        f"{kind.name}.schema.json": _text(document_schema(kind.folder)) for kind in KINDS.values()
    }


def shipped_folder() -> Path:
    """The folder of the catalog that comes with the service. Raises FileNotFoundError."""
    folders = package_folders(SHIPPED_PACKAGE)
    if not folders:
        raise FileNotFoundError(SHIPPED_PACKAGE)
    return folders[0]


def write_schemas(folder: Path) -> tuple[Path, ...]:
    """Write the schema files of a catalog folder; gives those that changed."""
    target = folder / FOLDER
    target.mkdir(parents=True, exist_ok=True)
    changed: list[Path] = []
    for name, text in schema_files().items():
        path = target / name
        if not path.is_file() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8", newline="\n")
            changed.append(path)
    return tuple(changed)


def _text(schema: dict[str, Any]) -> str:
    document = {"$schema": DIALECT, **schema}
    return json.dumps(document, indent=2, sort_keys=True, ensure_ascii=False) + "\n"
