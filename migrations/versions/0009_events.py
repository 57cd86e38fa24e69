"""What changed, a row for each change; and who started a re-pricing."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0009"
down_revision: str | None = "0008"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

# Before there were keys all callers were one, whom outcomes were kept for without a name.
CALLED = sa.text("UPDATE idempotency SET caller = 'loopback' WHERE caller = ''")
UNNAMED = sa.text("UPDATE idempotency SET caller = '' WHERE caller = 'loopback'")


def upgrade() -> None:
    """What changed before is not told. A call that is repeated is still known by its key."""
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
    op.add_column("repricing", sa.Column("started_by", sa.Text()))
    op.execute(CALLED)


def downgrade() -> None:
    """Drop what was told."""
    op.execute(UNNAMED)
    op.drop_column("repricing", "started_by")
    op.drop_table("event")
