"""The migrations run both ways, on a database file of their own, all or nothing."""

import subprocess
import sys
from collections import Counter
from io import StringIO
from itertools import pairwise
from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy.exc import OperationalError

from service.storage import open_engine
from service.storage.tables import METADATA
from tests.given.counts import count_of
from tests.migrations.kill_points import configure, read_state, state_of

KILLS = count_of("KILLS", 8)
# Of the statements of all revisions in one go, each so many-th; of one revision each third, and
# all where each one is asked for ("kills after statements" of tests.large).
EVERY = str(count_of("EVERY", 5))
ROOT = Path(__file__).resolve().parents[2]

BROKEN_REVISION = '''
"""A revision that fails after its first step."""
from alembic import op

revision = "9999"
down_revision = "{newest}"


def upgrade() -> None:
    op.execute("CREATE TABLE half_done (id INTEGER)")
    op.execute("this is no statement")
'''


REVISIONS = [
    script.revision
    for script in ScriptDirectory.from_config(
        Config(toml_file=ROOT / "pyproject.toml")
    ).walk_revisions()
][::-1]
# All steps at once, then each step up by itself, and each step back.
STEPS = [pair for older, newer in pairwise(REVISIONS) for pair in ((older, newer), (newer, older))]
WAYS = [("base", REVISIONS[-1]), *STEPS]


@pytest.mark.no_cover  # others run the same lines
def test_upgrade_and_downgrade_of_each_revision(empty_url: str) -> None:
    """Each revision goes up and comes back without a trace, on both databases."""
    config = configure(empty_url)
    states = []
    for revision in REVISIONS:
        command.upgrade(config, revision)
        states.append(read_state(empty_url))
        assert states[-1][0] == revision
    for revision, state in reversed(list(zip(REVISIONS, states, strict=True))):
        assert read_state(empty_url) == state
        command.downgrade(config, "-1")
        assert read_state(empty_url)[0] != revision
    assert read_state(empty_url) == (None, ["alembic_version"])


@pytest.mark.no_cover  # processes that are killed tell of no coverage
def test_migrations_survive_a_kill_after_each_statement(empty_url: str) -> None:
    """Killed anywhere, up or down, a migration leaves the old tables or the new ones."""
    ends = (end for way in WAYS for end in way)
    command_line = [sys.executable, "-m", "tests.migrations.kill_points", empty_url, EVERY, *ends]
    done = subprocess.run(command_line, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    kills = Counter(tuple(line.split()[:2]) for line in done.stdout.splitlines())
    assert list(kills) == WAYS
    assert min(kills.values()) > 1


def test_migrations_survive_a_kill_at_any_moment(empty_url: str) -> None:
    """Killed by the clock, up or down, a migration leaves the tables of some revision, from which
    the next one goes on."""
    words = ["-m", "tests.migrations.kill_moments", empty_url, str(KILLS)]
    done = subprocess.run(
        [sys.executable, *words], cwd=ROOT, capture_output=True, text=True, check=False
    )
    print(done.stdout)  # noqa: T201  the counts belong into the log
    assert done.returncode == 0, done.stdout + done.stderr
    assert f"{KILLS} too late" not in done.stdout


def test_upgrade_uses_a_connection_that_is_handed_over(tmp_path: Path) -> None:
    """A caller's own connection is used, and its transaction decides."""
    config = configure()
    with open_engine(f"sqlite:///{tmp_path / 'store.db'}").connect() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        assert state_of(connection)[0] == REVISIONS[-1]


def test_upgrade_that_fails_half_way_leaves_nothing(tmp_path: Path) -> None:
    """Where the second revision fails, the first one of the same run is gone too."""
    versions = tmp_path / "versions"
    versions.mkdir()
    (versions / "9999_broken.py").write_text(
        BROKEN_REVISION.format(newest=REVISIONS[-1]), encoding="utf-8"
    )
    url = f"sqlite:///{tmp_path / 'store.db'}"
    config = configure(url)
    config.set_main_option("path_separator", "newline")
    config.set_main_option("version_locations", f"{ROOT / 'migrations' / 'versions'}\n{versions}")
    with pytest.raises(OperationalError, match="syntax error"):
        command.upgrade(config, "head")
    with open_engine(url).connect() as connection:
        assert state_of(connection) == (None, [])


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


def test_models_and_migrations_agree(empty_url: str) -> None:
    """Nothing is left to generate after all revisions have run, on both databases."""
    command.upgrade(configure(empty_url), "head")
    command.check(configure(empty_url))


def test_tables_hold_no_binary_fraction() -> None:
    """Money is whole minor units or text: no column is a float."""
    kinds = {
        type(column.type).__name__ for table in METADATA.sorted_tables for column in table.columns
    }
    assert kinds <= {
        "Text",
        "Boolean",
        "Integer",
        "BigInteger",
        "LargeBinary",
        "PackedBytes",
        "Date",
    }
