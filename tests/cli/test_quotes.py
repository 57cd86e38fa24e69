"""`quotes export`: what HTTP exports, on stdout; wrong usage is 2."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from service.catalog import load_catalog
from service.cli.app import app
from service.storage import Store
from tests.given.catalog_files import write_folder
from tests.given.quote_requests import PROOF_FILES
from tests.given.saved_quotes import Keeper, small_request
from tests.given.stores import Clock


@pytest.fixture
def keeper(tmp_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> Keeper:
    """Two quotes in the database that the settings name."""
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    monkeypatch.setenv("SERVICE_DATABASE_URL", url)
    store = Store.open(url, now=clock)
    store.migrate()
    keeper = Keeper(load_catalog([write_folder(tmp_path / "proof", PROOF_FILES)]), store)
    keeper.save(small_request(title="Driveway", reference="job-1"))
    keeper.save(small_request(title="Terrace"))
    return keeper


def run(*arguments: str) -> Result:
    """The command's outcome in a pipe."""
    return CliRunner().invoke(app, ["quotes", "export", *arguments])


@pytest.mark.parametrize(
    ("arguments", "query"),
    [
        ((), ""),
        (("--csv",), "?format=csv"),
        (("--full",), "?view=full"),
        (("--filter", "title=drive", "--filter", "state=draft"), "?title=drive&state=draft"),
    ],
)
def test_export_writes_what_http_exports(
    keeper: Keeper, arguments: tuple[str, ...], query: str
) -> None:
    """The bytes on stdout are those of the answer, and stderr is quiet."""
    done = run(*arguments)
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout_bytes == keeper.get(f"/export{query}").content


@pytest.mark.usefixtures("keeper")
@pytest.mark.parametrize(
    "arguments",
    [
        ("--csv", "--full"),
        ("--filter", "title"),
        ("--filter", "colour=red"),
        ("--filter", "state=sold"),
        ("--filter", "title=a", "--filter", "title=b"),
    ],
)
def test_export_refuses_wrong_usage(arguments: tuple[str, ...]) -> None:
    """What can't be read is exit code 2, with nothing on stdout."""
    done = run(*arguments)
    assert (done.exit_code, done.stdout) == (2, "")


def test_export_says_where_there_is_no_database(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A database that can't be opened is exit code 1, in words."""
    monkeypatch.setenv("SERVICE_DATABASE_URL", f"sqlite:///{tmp_path}")
    done = run()
    assert (done.exit_code, done.stdout) == (1, "")
    assert "database can't be used" in done.stderr
