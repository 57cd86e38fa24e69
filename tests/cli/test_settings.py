"""`settings`: what is set and where it came from, and no secret."""

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from service.cli.app import app
from service.cli.settings import masked, setting_rows
from service.settings import PREFIX, Settings

README = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")


@pytest.fixture(autouse=True)
def bare_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    """No setting comes from the machine the tests run on."""
    for name in Settings.model_fields:
        monkeypatch.delenv(f"{PREFIX}{name}".upper(), raising=False)


def printed(*words: str) -> dict[str, dict[str, str]]:
    """The rows that the command prints, by name."""
    done = CliRunner().invoke(app, ["settings", "--json", *words])
    assert done.exit_code == 0, done.stderr
    return {row["name"]: row for row in json.loads(done.stdout)["settings"]}


def test_settings_prints_each_row_of_the_table() -> None:
    """The command and README's table have the same settings, in one order, and the same
    defaults."""
    section = README.split("\n## Settings\n", 1)[1].split("\n## ", 1)[0]
    rows = re.findall(r"^\| `(SERVICE_\w+)` \| ([^|]+) \|", section, re.MULTILINE)
    shown = {name: row["default"] for name, row in printed().items()}
    assert list(shown.items()) == [
        (name, "" if default == "empty" else default.strip("`")) for name, default in rows
    ]


def test_settings_tells_what_was_set_from_what_was_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """A set value says `environment`, in whichever case the variable is written; an empty one,
    and one that nobody set, says `default`."""
    monkeypatch.setenv("SERVICE_CATALOG_PATH", "/srv/a:/srv/b")
    monkeypatch.setenv("service_access_log", "1")
    monkeypatch.setenv("SERVICE_LOG_LEVEL", "")
    rows = printed()
    assert rows["SERVICE_CATALOG_PATH"] == {
        "name": "SERVICE_CATALOG_PATH",
        "value": "/srv/a:/srv/b",
        "default": "",
        "from": "environment",
    }
    assert (rows["SERVICE_ACCESS_LOG"]["value"], rows["SERVICE_ACCESS_LOG"]["from"]) == (
        "true",
        "environment",
    )
    assert (rows["SERVICE_LOG_LEVEL"]["value"], rows["SERVICE_LOG_LEVEL"]["from"]) == (
        "info",
        "default",
    )


@pytest.mark.parametrize(
    ("url", "shown"),
    [
        ("postgresql+psycopg://walls:s3cret@db/walls", "postgresql+psycopg://walls:***@db/walls"),
        ("postgresql+psycopg://walls:s3@cr:et/x@db/w", "postgresql+psycopg://walls:***@db/w"),
        ("postgresql+psycopg://:s3cret@db/walls", "postgresql+psycopg://:***@db/walls"),
        (
            "postgresql+psycopg://db/w?user=a&password=s3cret&port=1",
            "postgresql+psycopg://db/w?user=a&password=***&port=1",
        ),
        ("postgresql+psycopg://walls@db/walls", "postgresql+psycopg://walls@db/walls"),
        ("sqlite:////srv/walls.sqlite", "sqlite:////srv/walls.sqlite"),
        ("s3cret", "***"),
        ("", ""),
    ],
)
def test_masked_hides_the_password_of_an_address(url: str, shown: str) -> None:
    """A password is masked wherever an address carries one, and the rest is shown; what should
    be an address and is none is masked whole."""
    assert masked("database_url", url) == shown


def test_settings_shows_no_secret(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither form of the command has the password, on any stream."""
    monkeypatch.setenv("SERVICE_DATABASE_URL", "postgresql+psycopg://walls:s3cret@db/walls")
    monkeypatch.setenv("SERVICE_DATABASE_URLS", "postgresql+psycopg://walls:s3cret@db/walls")
    for words in (["settings"], ["settings", "--json"]):
        done = CliRunner().invoke(app, words, env={"COLUMNS": "120"})
        assert done.exit_code == 0
        assert "walls:***@db" in done.stdout
        assert "s3cret" not in done.output
        assert "SERVICE_DATABASE_URLS is not a setting" in done.stderr


def test_setting_rows_has_a_row_for_each_field() -> None:
    """A setting that is added is printed without another word."""
    assert [row["name"] for row in setting_rows(Settings(), {})] == [
        f"{PREFIX}{name}".upper() for name in Settings.model_fields
    ]
