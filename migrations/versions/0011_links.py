"""Papers that are shown under a secret address, and what customers answered."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import context, op

revision: str = "0011"
down_revision: str | None = "0010"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """No link was made so far."""
    op.create_table(
        "link",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("token_digest", sa.Text(), nullable=False),
        sa.Column("quote_id", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("company", sa.Text()),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("paper", sa.Text(), nullable=False),
        sa.Column("detail", sa.Text()),
        sa.Column("supplier", sa.Text()),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        sa.Column("ended_at", sa.BigInteger()),
        sa.Column("viewed_on", sa.Text()),
        sa.Column("answer", sa.Text()),
        sa.Column("answered_at", sa.BigInteger()),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_link")),
        sa.UniqueConstraint("token_digest", name=op.f("uq_link_token_digest")),
        sa.ForeignKeyConstraint(
            ["quote_id", "revision"],
            ["quote_revision.quote_id", "quote_revision.revision"],
            name=op.f("fk_link_quote_id_quote_revision"),
        ),
    )
    op.create_index("ix_link_quote_id_revision", "link", ["quote_id", "revision"])
    op.create_table(
        "link_content",
        sa.Column("link_id", sa.Text(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("content_digest", sa.Text(), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("link_id", name=op.f("pk_link_content")),
        sa.ForeignKeyConstraint(
            ["link_id"], ["link.id"], name=op.f("fk_link_content_link_id_link")
        ),
    )
    op.create_table(
        "acceptance",
        sa.Column("link_id", sa.Text(), nullable=False),
        sa.Column("quote_id", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text()),
        sa.Column("sentence", sa.Text(), nullable=False),
        sa.Column("content_digest", sa.Text(), nullable=False),
        sa.Column("total", sa.Text(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("accepted_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("link_id", name=op.f("pk_acceptance")),
        sa.ForeignKeyConstraint(["link_id"], ["link.id"], name=op.f("fk_acceptance_link_id_link")),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_acceptance_quote_id_quote")
        ),
    )
    op.create_index(op.f("ix_acceptance_quote_id"), "acceptance", ["quote_id"])


def downgrade() -> None:
    """Refused while an answer of a customer is kept: it is nowhere else."""
    if not context.is_offline_mode():
        kept = sa.select(sa.func.count()).select_from(sa.table("acceptance"))
        if count := op.get_bind().execute(kept).scalar_one():
            raise RuntimeError(f"{count} quotes were accepted by a link; they would be lost")
    op.drop_table("acceptance")
    op.drop_table("link_content")
    op.drop_table("link")
