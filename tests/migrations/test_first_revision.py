"""The migrations run both ways, on a database file of their own, all or nothing."""

from io import StringIO
from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.util import CommandError
from sqlalchemy import Connection, inspect
from sqlalchemy.exc import OperationalError

from service.storage import open_engine

ROOT = Path(__file__).resolve().parents[2]

BROKEN_REVISION = '''
"""A revision that fails after its first step."""
from alembic import op

revision = "9999"
down_revision = "0001"


def upgrade() -> None:
    op.execute("CREATE TABLE half_done (id INTEGER)")
    op.execute("this is no statement")
'''


def configure(url: str | None = None, output: StringIO | None = None) -> Config:
    """Return the project's own configuration, aimed at a database."""
    config = Config(toml_file=ROOT / "pyproject.toml", output_buffer=output)
    if url is not None:
        config.set_main_option("sqlalchemy.url", url)
    return config


def read_state(connection: Connection) -> tuple[str | None, list[str]]:
    """Return the revision a database is at, and its tables."""
    revision = MigrationContext.configure(connection).get_current_revision()
    return revision, sorted(inspect(connection).get_table_names())


def test_upgrade_and_downgrade_of_the_first_revision(tmp_path: Path) -> None:
    """The first revision marks the database and goes back without a trace."""
    url = f"sqlite:///{tmp_path / 'store.db'}"
    engine = open_engine(url)
    command.upgrade(configure(url), "head")
    with engine.connect() as connection:
        assert read_state(connection) == ("0001", ["alembic_version"])
    command.downgrade(configure(url), "base")
    with engine.connect() as connection:
        assert read_state(connection)[0] is None
    command.upgrade(configure(url), "head")


def test_upgrade_uses_a_connection_that_is_handed_over(tmp_path: Path) -> None:
    """A caller's own connection is used, and its transaction decides."""
    config = configure()
    with open_engine(f"sqlite:///{tmp_path / 'store.db'}").connect() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        assert read_state(connection)[0] == "0001"


def test_upgrade_that_fails_half_way_leaves_nothing(tmp_path: Path) -> None:
    """Where the second revision fails, the first one of the same run is gone too."""
    versions = tmp_path / "versions"
    versions.mkdir()
    (versions / "9999_broken.py").write_text(BROKEN_REVISION, encoding="utf-8")
    url = f"sqlite:///{tmp_path / 'store.db'}"
    config = configure(url)
    config.set_main_option("path_separator", "newline")
    config.set_main_option("version_locations", f"{ROOT / 'migrations' / 'versions'}\n{versions}")
    with pytest.raises(OperationalError, match="syntax error"):
        command.upgrade(config, "head")
    with open_engine(url).connect() as connection:
        assert read_state(connection) == (None, [])


def test_upgrade_prints_its_statements(tmp_path: Path) -> None:
    """With --sql the statements are printed and no database is touched."""
    output = StringIO()
    store = tmp_path / "store.db"
    command.upgrade(configure(f"sqlite:///{store}", output), "head", sql=True)
    assert "INSERT INTO alembic_version" in output.getvalue()
    assert not store.exists()


def test_upgrade_without_a_database_says_what_to_give() -> None:
    """No URL and no connection: the message shows the option."""
    with pytest.raises(CommandError, match="-x url=sqlite:///"):
        command.upgrade(configure(), "head")


def test_models_and_migrations_agree(tmp_path: Path) -> None:
    """Nothing is left to generate after all revisions have run."""
    url = f"sqlite:///{tmp_path / 'store.db'}"
    command.upgrade(configure(url), "head")
    command.check(configure(url))
