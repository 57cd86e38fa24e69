"""What holds for every problem, whatever went wrong."""

import json
import re
from typing import Any

from httpx2 import Response

from service.api.app import OPERATIONS
from service.api.faults import KINDS

FIELDS = ["type", "title", "status", "detail", "instance", "code", "errors", "errors_total"]
ENTRY_FIELDS = ["pointer", "message", "code", "hint"]
POINTER = re.compile(r"(/([^/~]|~[01])*)*")


def assert_problem(response: Response, status: int, code: str) -> dict[str, Any]:
    """Check the shape of a problem, its status and its code; gives the document."""
    assert response.status_code == status, response.text
    assert response.headers["content-type"] == "application/problem+json"
    assert response.headers["x-content-type-options"] == "nosniff"
    assert response.headers["cache-control"] == "no-store"
    assert len(response.content) <= 64 * 1024
    problem: dict[str, Any] = json.loads(response.content.decode("utf-8"))
    assert list(problem) == FIELDS
    assert problem["code"] == code
    assert problem["type"] == f"/problems/{code}"
    assert problem["status"] == status
    assert problem["title"] == KINDS[code].title
    assert problem["detail"]
    _assert_declared(response, status)
    assert problem["instance"] == response.headers["x-request-id"]
    assert len(problem["errors"]) <= min(100, problem["errors_total"])
    for entry in problem["errors"]:
        assert [field for field in entry if field != "parameter"] == ENTRY_FIELDS
        assert entry.get("parameter") != ""
        assert POINTER.fullmatch(entry["pointer"])
        assert entry["message"]
        assert entry["code"] in KINDS, f"{entry['code']} has no page"
    return problem


def _assert_declared(response: Response, status: int) -> None:
    """An operation that is documented refuses with a status that its row names, and no other."""
    place = OPERATIONS.find(response.request.url.path)
    operation = place and place.operations.get(response.request.method)
    if operation and operation.tag:
        assert status in operation.problems, f"{operation.id} does not name {status}"
