"""What a plain quote costs a service in this process: the measure of what other calls may cost."""

from __future__ import annotations

import json
from weakref import WeakKeyDictionary

from starlette.testclient import TestClient

from tests.given.quote_requests import shipped_request
from tests.given.served import JSON
from tests.given.work import least_work

_KNOWN = WeakKeyDictionary[TestClient, float]()


def work_of_a_quote(client: TestClient) -> float:
    """The CPU seconds of a plain quote by this service, measured once."""
    if client not in _KNOWN:
        body = json.dumps(shipped_request()).encode("utf-8")
        assert client.post("/v1/quotes", content=body, headers=JSON).status_code == 200
        _KNOWN[client] = least_work(lambda: client.post("/v1/quotes", content=body, headers=JSON))
    return _KNOWN[client]
