"""What visitors of websites left."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0012"
down_revision: str | None = "0011"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """Nobody has left anything so far."""
    op.create_table(
        "lead",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("website", sa.Text(), nullable=False),
        sa.Column("received_at", sa.BigInteger(), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("form_version", sa.Integer(), nullable=False),
        sa.Column("document", sa.LargeBinary(), nullable=False),
        sa.Column("answers", sa.LargeBinary(), nullable=False),
        sa.Column("request", sa.LargeBinary(), nullable=False),
        sa.Column("shown", sa.LargeBinary(), nullable=False),
        sa.Column("consent_version", sa.Text(), nullable=False),
        sa.Column("consent_text", sa.Text(), nullable=False),
        sa.Column("network", sa.Text()),
        sa.Column("quote_id", sa.Text()),
        sa.ForeignKeyConstraint(["quote_id"], ["quote.id"], name=op.f("fk_lead_quote_id_quote")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lead")),
    )
    op.create_index("ix_lead_quote_id", "lead", ["quote_id"])
    op.create_index("ix_lead_received_at_id", "lead", ["received_at", "id"])


def downgrade() -> None:
    """What visitors left is lost."""
    op.drop_index("ix_lead_received_at_id", "lead")
    op.drop_index("ix_lead_quote_id", "lead")
    op.drop_table("lead")
