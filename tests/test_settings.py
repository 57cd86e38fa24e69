"""Settings: what the environment may set, and what it may not."""

import re
from pathlib import Path
from typing import get_args

import pytest
from pydantic import ValidationError

from service.settings import PREFIX, LogLevel, Settings, unknown_variables

README = (Path(__file__).resolve().parent.parent / "README.md").read_text(encoding="utf-8")


@pytest.fixture(autouse=True)
def bare_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    """No setting comes from the machine the tests run on."""
    for name in Settings.model_fields:
        monkeypatch.delenv(f"{PREFIX}{name}".upper(), raising=False)


def test_settings_have_sound_defaults() -> None:
    """With nothing set there are no further folders or hosts, and no access log."""
    settings = Settings()
    assert settings.catalog_path == ()
    assert settings.allowed_hosts == ()
    assert (settings.log_level, settings.access_log) == ("info", False)
    assert settings.graceful_seconds == 30


def test_settings_split_catalog_path(monkeypatch: pytest.MonkeyPatch) -> None:
    """Folders are separated by colons; empty parts say nothing."""
    monkeypatch.setenv("SERVICE_CATALOG_PATH", "/srv/walls::/srv/more walls: ")
    assert Settings().catalog_path == (Path("/srv/walls"), Path("/srv/more walls"))


def test_settings_split_allowed_hosts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Host names are separated by commas."""
    monkeypatch.setenv("SERVICE_ALLOWED_HOSTS", "office.lan, testserver")
    assert Settings().allowed_hosts == ("office.lan", "testserver")


def test_settings_read_words_in_any_case(monkeypatch: pytest.MonkeyPatch) -> None:
    """A log level may be written in capitals."""
    monkeypatch.setenv("SERVICE_LOG_LEVEL", "WARNING")
    assert Settings().log_level == "warning"


@pytest.mark.parametrize(
    ("name", "value"),
    [("LOG_LEVEL", "loud"), ("ACCESS_LOG", "perhaps"), ("GRACEFUL_SECONDS", "-1")],
)
def test_settings_refuse_what_they_cannot_mean(
    monkeypatch: pytest.MonkeyPatch, name: str, value: str
) -> None:
    """A value that can't be meant is an error, never a default."""
    monkeypatch.setenv(f"SERVICE_{name}", value)
    with pytest.raises(ValidationError):
        Settings()


def test_settings_never_change() -> None:
    """Settings are read once."""
    with pytest.raises(ValidationError):
        Settings().log_level = "debug"  # type: ignore[misc]  # that it is refused is the test


def test_unknown_variables_finds_misspelt_names() -> None:
    """A variable with the prefix that is no setting is named; others are nobody's business."""
    names = ["SERVICE_CATALOG_PATHS", "SERVICE_LOG_LEVEL", "HOME", "SERVICE_A"]
    assert unknown_variables(names) == ("SERVICE_A", "SERVICE_CATALOG_PATHS")


def shown(default: object) -> str:
    """A default as the table of settings gives it."""
    if default in ((), ""):
        return "empty"
    text = ",".join(map(str, default)) if isinstance(default, tuple) else str(default)
    return f"`{text.lower() if isinstance(default, bool) else text}`"


def test_readme_lists_every_setting_with_its_default() -> None:
    """The table of settings has a row for each field, in its order, with the default that holds."""
    section = README.split("\n## Settings\n", 1)[1].split("\n## ", 1)[0]
    rows = re.findall(r"^\| `(\w+)` \| ([^|]+) \| [^|]+ \|$", section, re.MULTILINE)
    defaults = {name: getattr(Settings(), name) for name in Settings.model_fields}
    assert rows == [(f"{PREFIX}{name.upper()}", shown(value)) for name, value in defaults.items()]


def test_readme_gives_the_bound_and_the_words_of_settings() -> None:
    """The longest grace and the words of a log level are those that are read."""
    section = README.split("\n## Settings\n", 1)[1].split("\n## ", 1)[0]
    (words,) = re.findall(r"^\| `SERVICE_LOG_LEVEL` \| `info` \| (.*) \|$", section, re.MULTILINE)
    assert re.findall(r"`(\w+)`", words) == list(get_args(LogLevel))
    (most,) = re.findall(
        r"^\| `SERVICE_GRACEFUL_SECONDS` .* at most (\d+) \|$", section, re.MULTILINE
    )
    assert Settings(graceful_seconds=int(most)).graceful_seconds == int(most)
    with pytest.raises(ValidationError):
        Settings(graceful_seconds=int(most) + 1)


def test_readme_says_where_the_database_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """With nothing set it is the file that the table names, in the user's data folder."""
    monkeypatch.setenv("XDG_DATA_HOME", "/data")
    assert Settings().store_url() == "sqlite:////data/wall_quote_service/service.sqlite"
    assert "`service.sqlite` in `$XDG_DATA_HOME/wall_quote_service`" in README
