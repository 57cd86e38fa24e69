"""Re-pricings: what bulk re-pricing reads of a quote, runs, the quotes chosen, finished chunks."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0004"
down_revision: str | None = "0003"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """Create the tables of re-pricings."""
    op.create_table(
        "quote_pricing",
        sa.Column("quote_id", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("packed", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["quote_id"], ["quote.id"], name="fk_quote_pricing_quote_id_quote"),
        sa.PrimaryKeyConstraint("quote_id", "revision", name="pk_quote_pricing"),
    )
    op.create_table(
        "repricing",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("mode", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("runs_on", sa.Text(), nullable=False),
        sa.Column("price_list", sa.Text(), nullable=False),
        sa.Column("price_list_revision", sa.Integer(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("minor_places", sa.Integer(), nullable=False),
        sa.Column("margin_floor", sa.Text(), nullable=True),
        sa.Column("include_issued", sa.Boolean(), nullable=False),
        sa.Column("chosen_by", sa.Text(), nullable=False),
        sa.Column("preview_id", sa.Text(), nullable=True),
        sa.Column("total", sa.Integer(), nullable=False),
        sa.Column("chunk_size", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.BigInteger(), nullable=False),
        sa.Column("finished_at", sa.BigInteger(), nullable=True),
        sa.Column("owner", sa.Text(), nullable=True),
        sa.Column("lease_until", sa.BigInteger(), nullable=False),
        sa.Column("failure", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["preview_id"], ["repricing.id"], name="fk_repricing_preview_id_repricing"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_repricing"),
    )
    op.create_index("ix_repricing_status", "repricing", ["status"])
    op.create_table(
        "repricing_quote",
        sa.Column("repricing_id", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("quote_id", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("reference", sa.Text(), nullable=True),
        sa.Column("price_list", sa.Text(), nullable=True),
        sa.Column("price_list_revision", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["repricing_id"], ["repricing.id"], name="fk_repricing_quote_repricing_id_repricing"
        ),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name="fk_repricing_quote_quote_id_quote"
        ),
        sa.PrimaryKeyConstraint("repricing_id", "position", name="pk_repricing_quote"),
    )
    op.create_table(
        "repricing_chunk",
        sa.Column("repricing_id", sa.Text(), nullable=False),
        sa.Column("chunk", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("changed", sa.Integer(), nullable=False),
        sa.Column("under_margin", sa.Integer(), nullable=False),
        sa.Column("failed", sa.Integer(), nullable=False),
        sa.Column("old_total", sa.BigInteger(), nullable=False),
        sa.Column("new_total", sa.BigInteger(), nullable=False),
        sa.Column("largest", sa.LargeBinary(), nullable=False),
        sa.Column("results", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["repricing_id"], ["repricing.id"], name="fk_repricing_chunk_repricing_id_repricing"
        ),
        sa.PrimaryKeyConstraint("repricing_id", "chunk", name="pk_repricing_chunk"),
    )


def downgrade() -> None:
    """Drop the tables of re-pricings, with every run and its results."""
    op.drop_table("repricing_chunk")
    op.drop_table("repricing_quote")
    op.drop_index("ix_repricing_status", "repricing")
    op.drop_table("repricing")
    op.drop_table("quote_pricing")
