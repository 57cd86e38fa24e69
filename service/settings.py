"""What whoever runs the service can set, by environment variables with the prefix `SERVICE_`.

README.md has the table: each variable, its default and its meaning.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from decimal import Decimal
from ipaddress import IPv4Network, IPv6Network
from pathlib import Path
from typing import Annotated, Literal
from zoneinfo import available_timezones

from pydantic import Field, field_validator
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

PREFIX = "SERVICE_"

Limit = Annotated[int, Field(ge=0, le=1_000_000)]
_PUBLIC_URL = re.compile(r"https?://[a-z0-9.\-\[\]:]+(?:/[A-Za-z0-9._~\-]+)*", re.ASCII)
_HOST_AND_PORT = re.compile(r"(?:[a-z0-9.-]+|\[[0-9a-f:.]+\]):[0-9]{1,5}", re.ASCII)
LogLevel = Literal["debug", "info", "warning", "error"]


class Settings(BaseSettings):
    """The settings of one process, read once and never changed."""

    model_config = SettingsConfigDict(
        env_prefix=PREFIX, frozen=True, extra="ignore", env_ignore_empty=True
    )

    catalog_path: Annotated[tuple[Path, ...], NoDecode] = ()
    database_url: str = Field(default="", repr=False)
    database_unsafe: bool = False
    queue: bool = False
    allowed_hosts: Annotated[tuple[str, ...], NoDecode] = ()
    public_url: str = ""
    trusted_proxies: Annotated[tuple[IPv4Network | IPv6Network, ...], NoDecode] = ()
    time_zone: str = "UTC"
    docs: bool = True
    price_range_limits: Annotated[tuple[Limit, Limit], NoDecode] = (30, 600)
    log_level: LogLevel = "info"
    access_log: bool = False
    event_days: int = Field(default=400, ge=1, le=36_500)
    largest_price_change: Decimal = Field(default=Decimal("0.25"), ge=0, le=100)
    link_days: int = Field(default=30, ge=1, le=3650)
    lead_days: int = Field(default=180, ge=1, le=3650)
    graceful_seconds: int = Field(default=30, ge=0, le=600)
    head_seconds: float = Field(default=5.0, gt=0, le=600)
    body_seconds: float = Field(default=15.0, gt=0, le=600)
    answer_seconds: float = Field(default=30.0, gt=0, le=600)
    idle_seconds: int = Field(default=15, ge=1, le=600)
    running_calls: int = Field(default=500, ge=1, le=100_000)
    calculators: int = Field(default=0, ge=0, le=1000)
    waiting_calculations: int = Field(default=32, ge=0, le=100_000)
    calculation_deadline: float = Field(default=20.0, ge=1, le=1000)
    secret_file: str = ""
    webhook_targets: Annotated[tuple[str, ...], NoDecode] = ()
    connections: int = Field(default=1000, ge=0, le=100_000)
    connections_per_address: int = Field(default=200, ge=0, le=100_000)

    @field_validator("catalog_path", mode="before")
    @classmethod
    def _split_folders(cls, value: object) -> object:
        return _split(value, ":")

    @field_validator("public_url")
    @classmethod
    def _check_url(cls, value: str) -> str:
        """An address that begins what the service writes; a path in front may be part of it."""
        if value and not _PUBLIC_URL.fullmatch(value):
            raise ValueError("write it like https://quotes.example.com, with no / at its end")
        return value

    @field_validator("time_zone")
    @classmethod
    def _check_zone(cls, value: str) -> str:
        if value not in available_timezones():
            raise ValueError(
                "no time zone of the IANA database has that name; write it like UTC or Etc/GMT+7"
            )
        return value

    @field_validator("webhook_targets", mode="before")
    @classmethod
    def _split_targets(cls, value: object) -> object:
        return _split(value.lower(), ",") if isinstance(value, str) else value

    @field_validator("webhook_targets")
    @classmethod
    def _check_targets(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        for target in value:
            if not _HOST_AND_PORT.fullmatch(target):
                raise ValueError(f"{target} is not of the form host:port, such as 127.0.0.1:9000")
        return value

    @field_validator("allowed_hosts", "trusted_proxies", "price_range_limits", mode="before")
    @classmethod
    def _split_hosts(cls, value: object) -> object:
        return _split(value, ",")

    @field_validator("log_level", mode="before")
    @classmethod
    def _lower(cls, value: object) -> object:
        return value.lower() if isinstance(value, str) else value

    def secrets_file(self, database: Path | None) -> Path:
        """The file with the key by which kept secrets are sealed; left out it lies beside the
        database's file, or in the user's data folder where that is on a server."""
        folder = _data_folder() if database is None else database.parent
        return Path(self.secret_file) if self.secret_file else folder / "service_secrets.key"

    def store_url(self) -> str:
        """The URL of the database; left out it is a file in the user's data folder."""
        return self.database_url or f"sqlite:///{_default_file()}"

    def has_no_store(self) -> bool:
        """Whether there is no database by all appearances: none is named, and there is no file."""
        return not self.database_url and not _default_file().exists()


def unknown_variables(names: Iterable[str]) -> tuple[str, ...]:
    """Those of the environment's variable names that look like a setting and are none."""
    known = {f"{PREFIX}{name}".upper() for name in Settings.model_fields}
    return tuple(
        sorted(name for name in names if name.startswith(PREFIX) and name.upper() not in known)
    )


def _data_folder() -> Path:
    """Where a user's programs keep their data (XDG Base Directory Specification 0.8)."""
    given = os.environ.get("XDG_DATA_HOME", "")
    home = Path(given) if Path(given).is_absolute() else Path.home() / ".local" / "share"
    return home / "wall_quote_service"


def _default_file() -> Path:
    return _data_folder() / "service.sqlite"


def _split(value: object, separator: str) -> object:
    """The parts of a text, empty ones left out; anything else as it is."""
    if not isinstance(value, str):
        return value
    return tuple(part.strip() for part in value.split(separator) if part.strip())
