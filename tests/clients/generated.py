"""What both clients' tests share: the document in a file, README's request, a running service.

The tools are installed apart (`.ci/run` does, DEVELOPERS.md says how): where they are missing the
tests are skipped and say so.
"""

from __future__ import annotations

import json
import os
import re
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any

from service.api.app import api_document
from tests.given.kept import RELEASES, kept_revision
from tests.given.quote_requests import shipped_request
from tests.given.service_process import HOST, ROOT, running_service

HERE = Path(__file__).parent
TOOLS = ROOT / ".clients"
KEPT = tuple(f"kept-{release}" for release in RELEASES)
# Lines and tables are no JSON: openapi/README.md shows how they are read.
NO_JSON = {"export_saved_quotes"}
SECONDS = 90


def readme_request() -> str:
    """The request with which README begins, as it stands there."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    found = re.search(r"-d '(\{.*?\n\})'", readme, re.DOTALL)
    assert found is not None
    return found[1]


def write_document(folder: Path) -> Path:
    """The document as it is served."""
    path = folder / "openapi.json"
    path.write_text(json.dumps(api_document()), encoding="utf-8")
    return path


def json_operations() -> set[str]:
    """The ids of all operations that answer JSON."""
    paths: dict[str, dict[str, Any]] = api_document()["paths"]
    ids = {operation["operationId"] for methods in paths.values() for operation in methods.values()}
    return ids - NO_JSON


def run(*command: str | Path, within: Path, warnings: bool = False) -> str:
    """What a command prints, with or without its warnings; it must end well."""
    words = [str(word) for word in command]
    done = subprocess.run(
        words, cwd=within, capture_output=True, text=True, timeout=SECONDS, check=False
    )
    assert done.returncode == 0, (
        f"{' '.join(words[:4])}\n{done.stdout[-4000:]}\n{done.stderr[-4000:]}"
    )
    return done.stdout + (done.stderr if warnings else "")


@contextmanager
def service_with_kept(folder: Path) -> Iterator[tuple[str, str]]:
    """The address of a service whose database holds a revision of each release, to the byte; the
    reference says of which. And a key for all that it does, which it asks for by then."""
    with running_service(
        log=subprocess.DEVNULL, XDG_DATA_HOME=str(folder), SERVICE_DATABASE_URL=""
    ) as (_, port):
        address = f"http://{HOST}:{port}"
        for reference, release in zip(KEPT, RELEASES, strict=True):
            _keep(address, folder, reference, kept_revision(release))
        yield address, _new_key(address, folder)


def _new_key(address: str, folder: Path) -> str:
    """A key for the service at an address, made on its machine; it asks for keys by then."""
    scopes = [word for scope in ("quotes", "prices", "admin") for word in ("--scope", scope)]
    made = subprocess.run(
        [sys.executable, "-m", "service", "keys", "new", "--name", "clients", *scopes],
        cwd=ROOT,
        env={**os.environ, "XDG_DATA_HOME": str(folder), "SERVICE_DATABASE_URL": ""},
        capture_output=True,
        text=True,
        check=True,
    )
    end = time.monotonic() + 10
    while time.monotonic() < end:
        with suppress(urllib.error.HTTPError):
            urllib.request.urlopen(f"{address}/v1/soils").close()  # noqa: S310  this machine
            time.sleep(0.2)
            continue
        return made.stdout.strip()
    raise AssertionError("keys are not asked for")


def _keep(address: str, folder: Path, reference: str, kept: dict[str, Any]) -> None:
    body = json.dumps({"quote": shipped_request(reference=reference)}).encode()
    head = {"Content-Type": "application/json"}
    call = urllib.request.Request(f"{address}/v1/saved-quotes", body, head)  # noqa: S310
    with urllib.request.urlopen(call) as answer:  # noqa: S310  this machine
        saved = json.load(answer)
    (database,) = folder.rglob("*.sqlite")
    bytes_of = [json.dumps(kept[key]).encode() for key in ("request", "answer")]
    with closing(sqlite3.connect(database)) as connection, connection:
        connection.execute(
            "UPDATE quote_revision SET request = ?, answer = ? WHERE quote_id = ?",
            (*bytes_of, saved["id"]),
        )


def assert_all_called(printed: str) -> None:
    """Every JSON operation was called and answered well, and every release's revision was read."""
    lines = printed.splitlines()
    called = {line for line in lines if " " not in line}
    assert called == json_operations()
    totals = [
        f"kept-{release} {kept_revision(release)['answer']['price']['total']}"
        for release in RELEASES
    ]
    assert [line for line in lines if " " in line] == totals


def installed(setting: str, usual: Path) -> Path | None:
    """Where the tools of a client are; None where they aren't."""
    place = Path(os.environ.get(setting) or usual)
    return place if place.exists() else None
