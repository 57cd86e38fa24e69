"""Settings: what the environment may set, and what it may not."""

from pathlib import Path

import pytest
from pydantic import ValidationError

from service import settings as settings_module
from service.settings import PREFIX, Settings, unknown_variables


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


def test_every_setting_is_documented() -> None:
    """The table in the module's docstring names every setting."""
    for name in Settings.model_fields:
        assert f"`{PREFIX}{name.upper()}`" in (settings_module.__doc__ or "")
