"""What visitors of a website left."""

from collections.abc import Sequence

revision: str = "0012"
down_revision: str | None = "0011"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """Nothing yet."""


def downgrade() -> None:
    """Nothing yet."""
