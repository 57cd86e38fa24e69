"""Papers that are shown under a secret address."""

from collections.abc import Sequence

revision: str = "0011"
down_revision: str | None = "0010"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """Nothing yet."""


def downgrade() -> None:
    """Nothing yet."""
