"""Price lists by revision, how their files are read, and the outcomes of calls with a key."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0002"
down_revision: str | None = "0001"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """Create the three tables."""
    op.create_table(
        "price_list_revision",
        sa.Column("price_list_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("effective_from", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("items", sa.Integer(), nullable=False),
        sa.Column("source_digest", sa.Text(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("content_digest", sa.Text(), nullable=False),
        sa.Column("published_at", sa.BigInteger(), nullable=False),
        sa.CheckConstraint("number >= 1", name=op.f("ck_price_list_revision_number_from_one")),
        sa.PrimaryKeyConstraint("price_list_id", "number", name=op.f("pk_price_list_revision")),
    )
    op.create_table(
        "price_list_mapping",
        sa.Column("price_list_id", sa.Text(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("content_digest", sa.Text(), nullable=False),
        sa.Column("saved_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("price_list_id", name=op.f("pk_price_list_mapping")),
    )
    op.create_table(
        "idempotency",
        sa.Column("caller", sa.Text(), nullable=False),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("fingerprint", sa.Text(), nullable=False),
        sa.Column("status", sa.Integer(), nullable=True),
        sa.Column("headers", sa.Text(), nullable=True),
        sa.Column("body", sa.LargeBinary(), nullable=True),
        sa.Column("created_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("caller", "method", "path", "key", name=op.f("pk_idempotency")),
    )
    op.create_index("ix_idempotency_created_at", "idempotency", ["created_at"])


def downgrade() -> None:
    """Drop them, with all that is in them."""
    op.drop_index("ix_idempotency_created_at", "idempotency")
    op.drop_table("idempotency")
    op.drop_table("price_list_mapping")
    op.drop_table("price_list_revision")
