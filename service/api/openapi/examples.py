"""The examples of the document: requests by hand, and the service's real answers to them.

They lie in `openapi/examples/<operation id>/`, as `<case>.request.json` and
`<case>.response.json`. Requests that were answered well are examples of the body; each problem is
one of its status; of the answers, which are long, one is shown, that of the row's `example`.
"""

from __future__ import annotations

import json
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from service.api.bodies import JSON
from service.api.operation import Operation

OK = 200


class Examples:
    """The examples of one operation."""

    def __init__(self, operation: Operation) -> None:
        self._answers: dict[int, dict[str, Any]] = {}
        self._requests: dict[str, Any] = {}
        folder = examples_folder()
        own = None if folder is None else folder / operation.id
        for file in sorted(own.glob("*.response.json")) if own is not None else ():
            self._add(file, operation)

    def _add(self, file: Path, operation: Operation) -> None:
        case = file.name.split(".")[0]
        answer = _read(file)
        is_problem = "errors_total" in answer
        if is_problem or operation.example in {"", case}:
            status = answer["status"] if is_problem else OK
            self._answers.setdefault(status, {})[case] = {"value": answer}
        if not is_problem:
            self._requests[case] = {"value": _read(file.with_name(f"{case}.request.json"))}

    def of_body(self, media_type: str) -> dict[str, Any]:
        """What stands beside the schema of a body."""
        return {"examples": self._requests} if self._requests and media_type == JSON else {}

    def of_answer(self, status: int) -> dict[str, Any]:
        """What stands beside the schema of an answer."""
        found = self._answers.get(status)
        return {"examples": found} if found else {}


def examples_folder() -> Path | None:
    """`openapi/examples`, wherever the package that holds it is installed."""
    spec = find_spec("service_openapi")
    places = list(spec.submodule_search_locations or ()) if spec else []
    folder = Path(places[0]) / "examples" if places else None
    return folder if folder is not None and folder.is_dir() else None


def _read(file: Path) -> Any:  # noqa: ANN401  whatever stands in it
    return json.loads(file.read_text(encoding="utf-8"))
