"""Keys that callers show, known by their SHA-256; calls that are counted."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import context, op

revision: str = "0008"
down_revision: str | None = "0007"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """No key was made so far."""
    op.create_table(
        "api_key",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("scopes", sa.Text(), nullable=False),
        sa.Column("website", sa.Text()),
        sa.Column("origins", sa.Text(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("expires_at", sa.BigInteger()),
        sa.Column("ended_at", sa.BigInteger()),
        sa.Column("used_on", sa.Text()),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_api_key")),
    )
    op.create_table(
        "api_key_secret",
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("key_id", sa.Text(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("ends_at", sa.BigInteger()),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_api_key_secret")),
        sa.ForeignKeyConstraint(
            ["key_id"], ["api_key.id"], name=op.f("fk_api_key_secret_key_id_api_key")
        ),
    )
    op.create_index(op.f("ix_api_key_secret_key_id"), "api_key_secret", ["key_id"])
    op.create_table(
        "counted_call",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("called_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_counted_call")),
    )
    op.create_index("ix_counted_call_called_at", "counted_call", ["called_at"])


def downgrade() -> None:
    """Refused while there is a key: an earlier version would answer everybody at the machine."""
    if not context.is_offline_mode():
        keys = sa.select(sa.func.count()).select_from(sa.table("api_key"))
        if count := op.get_bind().execute(keys).scalar_one():
            raise RuntimeError(
                f"{count} keys were made; a service of an earlier version asks nobody for one"
            )
    op.drop_table("counted_call")
    op.drop_table("api_key_secret")
    op.drop_table("api_key")
