"""Tables as the next release might have them: those of this one, and a column that it doesn't
know and could go on writing beside."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config

from tests.migrations.kill_points import configure

OWN = Path(__file__).resolve().parents[2] / "migrations" / "versions"
NEXT = '''
"""What the next release adds."""
import sqlalchemy as sa
from alembic import op

revision = "9999"
down_revision = "{newest}"


def upgrade() -> None:
    op.add_column("quote", sa.Column("next", sa.Text(), nullable=False, server_default=""))


def downgrade() -> None:
    op.drop_column("quote", "next")
'''


def move_on(url: str, folder: Path) -> None:
    """Bring a database to the next release's tables; its revision is written into the folder."""
    command.upgrade(_config(url, folder), "head")


def move_back(url: str, folder: Path) -> None:
    """Bring it back to this release's."""
    command.downgrade(_config(url, folder), "-1")


def _config(url: str, folder: Path) -> Config:
    newest = max(file.name for file in OWN.glob("[0-9]*.py")).partition("_")[0]
    (folder / "9999_next.py").write_text(NEXT.format(newest=newest), "utf-8")
    config = configure(url)
    config.set_main_option("path_separator", "newline")
    config.set_main_option("version_locations", f"{OWN}\n{folder}")
    return config
