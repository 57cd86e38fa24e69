"""The first revision: an empty database that knows which revision it is at.

Nothing is stored yet; the first tables come with the first resource that keeps something.
"""

from collections.abc import Sequence

revision: str = "0001"
down_revision: str | None = None
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None


def upgrade() -> None:
    """Create nothing: Alembic's own version table is all there is."""


def downgrade() -> None:
    """Remove nothing, as nothing was created."""
