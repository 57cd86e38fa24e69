"""The examples of the API document: requests by hand, and the service's real answers to them."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fastapi import FastAPI

from service.api.app import OPERATIONS
from service.api.openapi import openapi_document
from service.cli.loopback import open_port, post, running
from service.settings import Settings

REQUEST_ID = "example"
_REQUEST = ".request.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """One request, and where its answer is kept."""

    operation_id: str
    case: str
    request: Path

    @property
    def response(self) -> Path:
        """The file of the answer."""
        return self.request.with_name(f"{self.case}.response.json")


def read_examples(folder: Path) -> tuple[Example, ...]:
    """The examples of a folder `<operation_id>/<case>.request.json`, sorted."""
    return tuple(
        Example(
            operation_id=path.parent.name,
            case=path.name.removesuffix(_REQUEST),
            request=path,
        )
        for path in sorted(folder.glob(f"*/*{_REQUEST}"))
    )


def write_answers(app: FastAPI, folder: Path) -> tuple[Path, ...]:
    """Post every request of a folder to the service and keep what it answers."""
    examples = read_examples(folder)
    if not examples:
        return ()
    paths = operation_paths(openapi_document(OPERATIONS))
    with running(app, Settings.model_construct(), open_port(0)) as address:
        for example in examples:
            body = example.request.read_bytes()
            _, answer = post(address, paths[example.operation_id], body, request_id=REQUEST_ID)
            example.response.write_text(answer_text(answer), encoding="utf-8")
    return tuple(example.response for example in examples)


def operation_paths(document: Mapping[str, Any]) -> dict[str, str]:
    """The path of every operation that is posted to, by operation id."""
    return {
        methods["post"]["operationId"]: path
        for path, methods in document["paths"].items()
        if "post" in methods
    }


def answer_text(answer: bytes) -> str:
    """An answer as it is kept: indented, its keys in their order."""
    return json.dumps(json.loads(answer), indent=1, ensure_ascii=False) + "\n"
