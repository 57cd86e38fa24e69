"""`keys`: made and shown once, listed without the key, changed for a new secret, ended."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner, Result

from service.cli.app import app
from service.operations.callers.key_text import is_key


@pytest.fixture(autouse=True)
def own_database(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """A database of the test's own."""
    path = tmp_path_factory.mktemp("keys") / "store.sqlite"
    monkeypatch.setenv("SERVICE_DATABASE_URL", f"sqlite:///{path}")


SITE_OF_NOBODY = (
    "--scope", "website", "--website", "nobodys", "--origin", "https://www.example.com",
)  # fmt: skip


def run(*words: str) -> Result:
    """What a command says."""
    return CliRunner().invoke(app, ["keys", *words])


def made(*words: str) -> tuple[str, str]:
    """A new key: its id and its text."""
    told = json.loads(run("new", "--json", *words).stdout)
    return told["id"], told["key"]


def test_new_key_stands_alone_on_stdout() -> None:
    """What is printed can be put into a variable; the first one tells that keys are asked for."""
    first = run("new", "--name", "office", "--scope", "admin", "--scope", "quotes")
    assert first.exit_code == 0
    assert is_key(first.stdout.strip())
    assert first.stdout.count("\n") == 1
    assert "asks for keys, for good" in first.stderr
    second = run("new", "--name", "crew", "--scope", "field")
    assert "for good" not in second.stderr
    assert first.stdout != second.stdout


def test_new_key_tells_all_of_it_as_json() -> None:
    """The same members as over HTTP."""
    words = ("--website", "demo_site", "--origin", "https://www.example.com")
    told = json.loads(run("new", "--json", "--name", "x", "--scope", "website", *words).stdout)
    assert set(told) == {
        "id", "key", "name", "scopes", "website", "origins", "made", "expires",
    }  # fmt: skip
    assert told["scopes"] == ["website"]
    assert told["origins"] == ["https://www.example.com"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--scope", "everything"), "scopes"),
        (("--scope", "website"), "names the website"),
        (("--scope", "website", "--scope", "field"), "for nothing else"),
        (("--scope", "field", "--expires", "next week"), "expires"),
        (("--scope", "quote"), 'scopes 1: "quote" is not a choice'),
        (
            SITE_OF_NOBODY,
            'website: there is no website "nobodys" in the catalog (one of: demo_site',
        ),
    ],
)
def test_new_key_says_what_is_wrong(words: tuple[str, ...], said: str) -> None:
    """Wrong usage ends with 2 and a line for each fault; nothing is made."""
    result = run("new", "--name", "x", *words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stdout == ""
    assert json.loads(run("list", "--json").stdout) == []


def test_list_shows_no_key() -> None:
    """The list has ids and what keys are for, those that have ended too, never a key."""
    ended, key = made("--name", "old phone", "--scope", "field")
    _, other = made("--name", "office", "--scope", "quotes", "--expires", "2199-01-31")
    assert run("end", ended).exit_code == 0
    for words in (("list",), ("list", "--json")):
        told = run(*words).stdout
        assert key not in told
        assert other not in told
    rows = json.loads(run("list", "--json").stdout)
    assert {row["name"]: row["ended"] is not None for row in rows} == {
        "old phone": True, "office": False,
    }  # fmt: skip
    assert {row["expires"] for row in rows} == {None, "2199-01-31"}


def test_rotate_gives_another_secret_of_the_same_key() -> None:
    """The id stays; a key that has ended gets none; a time that can't be read is wrong usage."""
    key_id, key = made("--name", "office", "--scope", "quotes")
    again = json.loads(run("rotate", key_id, "--overlap", "12h", "--json").stdout)
    assert again["id"] == key_id
    assert is_key(again["key"])
    assert again["key"] != key
    assert run("rotate", key_id, "--overlap", "soon").exit_code == 2
    run("end", key_id)
    refused = run("rotate", key_id)
    assert refused.exit_code == 1
    assert "has ended" in refused.stderr
    assert run("end", "aaaaaaaaaa").exit_code == 1
