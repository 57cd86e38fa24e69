"""The examples of the document: requests by hand, and the service's real answers to them.

They lie in `openapi/examples/<operation id>/`, as `<case>.request.json` and
`<case>.response.json`, or `<case>.response.201.json` where the status isn't 200. Requests that were
answered well are examples of the body, first that of the row's `example`; each problem is one of
its status; of long answers one is shown, that of `example`.
"""

from __future__ import annotations

import json
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from service.api.bodies import JSON
from service.api.operation import Operation

OK = 200
TYPES = {".json": JSON, ".csv": "text/csv"}


class Examples:
    """The examples of one operation."""

    def __init__(self, operation: Operation) -> None:
        self._answers: dict[int, dict[str, Any]] = {}
        self._requests: dict[str, dict[str, Any]] = {}
        folder = examples_folder()
        own = folder / operation.id if folder is not None else None
        found = sorted(own.glob("*.request.*")) if own is not None else []
        for file in sorted(found, key=lambda file: file.name.split(".")[0] != operation.example):
            self._add(file, operation)

    def _add(self, file: Path, operation: Operation) -> None:
        case = file.name.split(".")[0]
        answers = sorted(file.parent.glob(f"{case}.response.*"))
        answer = _read(answers[0]) if answers else {}
        is_problem = "errors_total" in answer
        if answers and (is_problem or operation.example in {"", case}):
            status = answer["status"] if is_problem else _status(answers[0])
            self._answers.setdefault(status, {})[case] = {"value": answer}
        if not is_problem:
            shown = self._requests.setdefault(TYPES[file.suffix], {})
            shown[case] = {"value": _read(file)}

    def of_body(self, media_type: str) -> dict[str, Any]:
        """What stands beside the schema of a body."""
        found = self._requests.get(media_type)
        return {"examples": found} if found else {}

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


def _status(answer: Path) -> int:
    """The status of a success, which stands in the file's name where it isn't 200."""
    status = answer.suffixes[1:-1]
    return int(status[0][1:]) if status else OK


def _read(file: Path) -> Any:  # noqa: ANN401  whatever stands in it
    text = file.read_text(encoding="utf-8")
    return json.loads(text) if file.suffix == ".json" else text
