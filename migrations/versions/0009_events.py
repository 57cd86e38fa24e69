"""What changed, a row for each change."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0009"
down_revision: str | None = "0008"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """What changed before is not told."""
    op.create_table(
        "event",
        sa.Column("id", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("type", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.BigInteger(), nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text()),
        sa.Column("data", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_event")),
    )
    op.create_index("ix_event_type_id", "event", ["type", "id"])


def downgrade() -> None:
    """Drop what was told."""
    op.drop_table("event")
