"""A disk that fails or is full at the n-th call of SQLite's to a file: each save is kept or
refused, nothing is half, and all goes on by itself once the disk works again.

`python -m tests.large "failing files"` tries every n.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.catalog import Catalog
from service.storage import engine
from tests.faults.file_layer import ERRORS, FULL, FileLayer, Step, noted_files
from tests.faults.power_cut import FILE, read_back
from tests.given.counts import count_of
from tests.given.saved_quotes import URL, small_request
from tests.given.served import JSON, client_over
from tests.given.stores import Clock, sqlite_store

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

# Of the calls of a save, each so many-th fails; with 1 every one.
EVERY = count_of("EVERY", 3)
# So that nearly every save copies the log back, and those calls fail too.
CHECKPOINT_PAGES = 20
KEPT = 201
REFUSED = {503: "storage-unavailable", 507: "storage-full"}
FAULTS: dict[str, Callable[[Step], int]] = {
    "full": lambda step: FULL if step.kind == "write" else 0,
    "failing": lambda step: ERRORS[step.kind],
}


@dataclass(slots=True)
class Service:
    """A service whose files fail when they are told to, and what it answered."""

    client: TestClient
    layer: FileLayer
    seen: Counter[str] = field(default_factory=Counter)

    def save(self, key: str) -> int:
        """Save a quote under a key and a reference; kept, or refused in the words for it."""
        body = json.dumps(
            {"quote": small_request(reference=key), "customer": {"name": "A"}}
        ).encode("utf-8")
        told = self.client.post(URL, content=body, headers={**JSON, "Idempotency-Key": key})
        if told.status_code != KEPT:
            assert told.json()["code"] == REFUSED[told.status_code]
            assert told.status_code == 507 or int(told.headers["retry-after"]) > 0
        self.seen[str(told.status_code)] += 1
        return told.status_code

    def fail(self, fault: Callable[[Step], int], at: int, *, lasting: bool) -> Callable[[], bool]:
        """From now on the n-th call fails, and with `lasting` all after it; answers whether it
        came so far."""
        calls = count(1)
        reached: list[int] = []

        def refuse(step: Step) -> int:
            code = fault(step)
            number = next(calls) if code else 0
            if number == at or (lasting and number > at):
                reached.append(number)
                return code
            return 0

        self.layer.refuse = refuse
        return lambda: bool(reached)

    def works(self) -> None:
        """From now on nothing fails."""
        self.layer.refuse = lambda _step: 0


@contextmanager
def service_over(folder: Path, catalog: Catalog) -> Iterator[Service]:
    """A service on a file in a folder."""
    with pytest.MonkeyPatch.context() as patch, noted_files(folder) as layer:
        patch.setattr(engine, "CHECKPOINT_PAGES", CHECKPOINT_PAGES)
        with sqlite_store(folder, Clock()) as store, client_over(catalog, store) as client:
            yield Service(client, layer)


@pytest.mark.parametrize("lasting", [False, True], ids=["once", "from there on"])
@pytest.mark.parametrize("fault", FAULTS)
def test_save_is_kept_or_refused_whichever_call_fails(
    tmp_path: Path, proof_catalog: Catalog, fault: str, *, lasting: bool
) -> None:
    """Calls to a file fail in turn: the answer is 201, 503 or 507; reads and quotes go on; the
    same key once more ends with one whole quote; and what was refused before is not half there."""
    with service_over(tmp_path, proof_catalog) as service:
        service.save("first")
        told = {"first"}
        for number in count(1, EVERY):
            came_so_far = service.fail(FAULTS[fault], number, lasting=lasting)
            status = service.save(f"job-{number}")
            assert service.client.get(URL).status_code == 200
            reached = came_so_far()
            service.works()
            found, halves = read_back(f"sqlite:///{tmp_path / FILE}")
            assert not halves
            assert told <= found
            assert status != KEPT or f"job-{number}" in found
            # The same once more may write nothing; a further one has the log copied back.
            assert service.save(f"job-{number}") == service.save(f"next-{number}") == KEPT
            assert service.client.get("/health/ready").status_code == 200
            told |= {f"job-{number}", f"next-{number}"}
            if not reached:
                break
        print(fault, lasting, number, dict(service.seen))  # noqa: T201  the counts belong here
        assert read_back(f"sqlite:///{tmp_path / FILE}") == (told, set())
    assert number > 20
    assert service.seen["507" if fault == "full" else "503"] > number // (2 * EVERY)
