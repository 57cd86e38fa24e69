"""Where events are sent, and what came of it."""

from collections.abc import Sequence

revision: str = "0010"
down_revision: str | None = "0009"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """Nothing yet."""


def downgrade() -> None:
    """Nothing yet."""
