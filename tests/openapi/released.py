"""The API document of the last release, without its words: tests/openapi/released.json.

`python -m tests.openapi.released` writes it from the document as it is now. It is run once with
each release, and never else.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
RELEASED = HERE / "released.json"
DOCUMENT = HERE.parents[1] / "openapi" / "openapi.json"
_WORDS = {"description", "summary", "examples", "example", "title", "tags", "operationId"}
# What stands under these is named by the document's writer, so that a name is no keyword.
_NAMED = {"properties", "schemas", "paths", "responses", "parameters", "headers", "content"}


def without_words(node: Any, *, named: bool = False) -> Any:  # noqa: ANN401  any JSON
    """A part of a document without what is for people; answers that succeed alone."""
    if isinstance(node, list):
        return [without_words(each) for each in node]
    if not isinstance(node, dict):
        return node
    return {
        key: without_words(below, named=key in _NAMED and not named)
        for key, below in node.items()
        if named or key not in _WORDS
    }


def compact(document: dict[str, Any]) -> str:
    """The document as it is kept: without words, a line for each path and each component."""
    kept = without_words(document)
    for item in kept["paths"].values():
        for row in item.values():
            if isinstance(row, dict):
                row["responses"] = {s: a for s, a in row["responses"].items() if s[0] == "2"}
    paths, components = kept.pop("paths"), kept.pop("components")
    parts = [f"{_line(key)}:{_line(value)}" for key, value in sorted(kept.items())]
    parts.append(f'"paths":{_lines(paths)}')
    groups = ",\n".join(f"{_line(key)}:{_lines(part)}" for key, part in sorted(components.items()))
    parts.append(f'"components":{{\n{groups}\n}}')
    return "{\n" + ",\n".join(parts) + "\n}\n"


def _line(value: object) -> str:
    return json.dumps(value, sort_keys=True, separators=(",", ":"))


def _lines(rows: dict[str, Any]) -> str:
    return "{\n" + ",\n".join(f"{_line(key)}:{_line(rows[key])}" for key in sorted(rows)) + "\n}"


if __name__ == "__main__":
    document = json.loads(DOCUMENT.read_text(encoding="utf-8"))
    RELEASED.write_text(compact(document), encoding="utf-8")
