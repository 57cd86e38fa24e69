"""`events list` and `events follow`: what changed, on stdout."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from service.catalog import Catalog
from service.cli.app import app
from service.cli.events import PAGE
from service.storage import Store
from service.storage.events import NewEvent, record_all
from tests.given.saved_quotes import Keeper
from tests.given.stores import Clock, sqlite_store

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def keeper(
    tmp_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch, proof_catalog: Catalog
) -> Iterator[Keeper]:
    """A service over the database that the settings name."""
    with sqlite_store(tmp_path, clock) as store:
        monkeypatch.setenv("SERVICE_DATABASE_URL", store.url)
        yield Keeper(proof_catalog, store)


def run(*arguments: str) -> Result:
    """The command's outcome in a pipe."""
    return CliRunner().invoke(app, ["events", *arguments])


def test_list_prints_a_line_an_event(keeper: Keeper) -> None:
    """Number, moment, type, who, what it happened to, and what is told of it."""
    quote_id = keeper.save()["id"]
    keeper.moved(quote_id, "issued")
    done = run("list")
    assert (done.exit_code, done.stderr) == (0, "")
    moved = "before draft, revision 1, state issued"
    place = f"loopback  {quote_id}"
    assert done.stdout.splitlines() == [
        f"1  2026-05-04T00:00:00Z  quote.saved  {place}  revision 1, state draft",
        f"2  2026-05-04T00:00:00Z  quote.state_changed  {place}  {moved}",
    ]
    assert run("list", "--after", "1").stdout.splitlines() == done.stdout.splitlines()[1:]
    assert run("list", "--type", "quote.saved").stdout.splitlines() == done.stdout.splitlines()[:1]


def test_list_prints_what_http_answers(keeper: Keeper) -> None:
    """With --json each line is an event as it is answered."""
    keeper.moved(keeper.save()["id"], "issued", "accepted")
    done = run("list", "--json")
    answered = keeper.client.get("/v1/events").json()["items"]
    assert [json.loads(line) for line in done.stdout.splitlines()] == answered
    assert len(answered) == 3


def test_list_goes_on_from_page_to_page(keeper: Keeper, clock: Clock) -> None:
    """More events than a page holds are all printed, in their order, each once."""
    count = 2 * PAGE + 1
    event = NewEvent(type="mapping.changed", subject="yard", data={"price_list": "yard"})
    store = Store.open(keeper.client.app.state.store_shelf.get().url, now=clock)  # type: ignore[attr-defined]
    with store.write() as connection:
        record_all(connection, [event] * count, store.now())
    store.close()
    numbers = [int(line.split()[0]) for line in run("list").stdout.splitlines()]
    assert numbers == list(range(1, count + 1))


@pytest.mark.usefixtures("keeper")
def test_list_tells_wrong_usage_from_what_is_gone() -> None:
    """A type that is none is wrong usage (2); an event that never was is the input's fault (1)."""
    assert run("list", "--type", "quote.sold").exit_code == 2
    gone = run("list", "--after", "7")
    assert (gone.exit_code, gone.stdout) == (1, "")
    assert "Kept are none so far" in gone.stderr


def test_follow_prints_what_comes(keeper: Keeper) -> None:
    """It begins with what comes after its start, prints each event once, and ends well when it
    is stopped."""
    keeper.save()
    command = [sys.executable, "-m", "service", "events", "follow", "--json", "--after", "1"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as following:
        assert following.stdout is not None
        for number in (2, 3):
            keeper.save()
            assert json.loads(following.stdout.readline())["id"] == str(number)
        following.send_signal(signal.SIGINT)
        assert following.stdout.read() == ""
        assert following.wait() == 0
