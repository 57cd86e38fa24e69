"""Parts of rows that are imported when they are first needed."""

from __future__ import annotations

import asyncio
import inspect
import sys

import pytest
from starlette.requests import Request
from starlette.responses import Response

from service.api.app import OPERATIONS
from service.api.late import Handler, Late, endpoint, found, late_modules
from service.api.operation import Operation, Parameter

# A name under which no module stands.
SELDOM = "this_is_no_module"
REQUEST = Request({"type": "http", "method": "GET", "path": "/", "headers": []})


@pytest.mark.parametrize("row", tuple(OPERATIONS), ids=lambda row: row.id)
def test_each_late_part_is_there(row: Operation) -> None:
    """What a row names of a late module stands in it: a handler that can be awaited, and
    parameters."""
    handler = found(row.handler)
    assert inspect.iscoroutinefunction(handler)
    (taken,) = inspect.signature(handler).parameters.values()
    assert taken.annotation == "Request"
    assert all(isinstance(each, Parameter) for each in row.each_parameter())


def test_rows_that_store_are_late() -> None:
    """A row of saved quotes holds its handler by name, and its id is that name."""
    (row,) = (each for each in OPERATIONS if each.id == "read_saved_quote")
    held: object = row.handler
    assert isinstance(held, Late)
    assert held.__name__ == "read_saved_quote"


def test_late_part_is_imported_when_it_is_asked_for() -> None:
    """A late module is named without being there; asking for a part of it imports it."""
    (missing,) = late_modules("json", SELDOM)
    part = missing.anything
    with pytest.raises(ModuleNotFoundError, match=SELDOM):
        found(part)
    (tool,) = late_modules("json", "tool")
    sys.modules.pop("json.tool", None)
    main = tool.main
    assert "json.tool" not in sys.modules
    assert found(main) is sys.modules["json.tool"].main


def test_found_leaves_what_is_not_late() -> None:
    """Any other part of a row is itself."""
    part = Parameter(name="a", within="query", description="", schema={}, component="A")
    assert found(part) is part


async def answer(_request: Request) -> Response:
    """A handler."""
    return Response("answered")


def test_endpoint_answers_as_the_late_handler_does(monkeypatch: pytest.MonkeyPatch) -> None:
    """A call of a late handler is answered by the handler itself, after the first without a
    thread; another handler stays."""
    call = endpoint(Late(__name__, "answer"))
    assert endpoint(answer) is answer
    assert asyncio.run(_awaited(call)).body == b"answered"
    monkeypatch.delattr(asyncio, "to_thread")
    assert asyncio.run(_awaited(call)).body == b"answered"


async def _awaited(call: Handler) -> Response:
    return await call(REQUEST)
