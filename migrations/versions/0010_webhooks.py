"""Where events are sent, and what came of it."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0010"
down_revision: str | None = "0009"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

WAITS = sa.text("status = 'waiting'")


def upgrade() -> None:
    """Nothing is sent anywhere so far."""
    op.create_table(
        "webhook",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("url", sa.Text(), nullable=False),
        sa.Column("types", sa.Text(), nullable=False),
        sa.Column("secret", sa.LargeBinary(), nullable=False),
        sa.Column("secret_before", sa.LargeBinary()),
        sa.Column("before_ends_at", sa.BigInteger()),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("seen", sa.BigInteger(), nullable=False),
        sa.Column("failing_since", sa.BigInteger()),
        sa.Column("off_at", sa.BigInteger()),
        sa.Column("off_why", sa.Text()),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_webhook")),
    )
    op.create_table(
        "webhook_delivery",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("webhook_id", sa.Text(), nullable=False),
        sa.Column("event", sa.BigInteger()),
        sa.Column("type", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text()),
        sa.Column("again_of", sa.Text()),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("next_at", sa.BigInteger()),
        sa.Column("tried_at", sa.BigInteger()),
        sa.Column("answered", sa.Integer()),
        sa.Column("why", sa.Text()),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_webhook_delivery")),
        sa.ForeignKeyConstraint(
            ["webhook_id"], ["webhook.id"], name=op.f("fk_webhook_delivery_webhook_id_webhook")
        ),
    )
    op.create_index("ix_webhook_delivery_webhook_id_id", "webhook_delivery", ["webhook_id", "id"])
    for name, columns in (("due", ["next_at"]), ("order", ["subject", "event"])):
        op.create_index(
            f"ix_webhook_delivery_{name}",
            "webhook_delivery",
            ["webhook_id", *columns],
            sqlite_where=WAITS,
            postgresql_where=WAITS,
        )
    op.create_table(
        "webhook_sender",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("owner", sa.Text()),
        sa.Column("lease_until", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_webhook_sender")),
    )


def downgrade() -> None:
    """Drop them, with what waits to be sent."""
    op.drop_table("webhook_sender")
    op.drop_table("webhook_delivery")
    op.drop_table("webhook")
