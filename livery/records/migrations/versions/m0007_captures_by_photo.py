"""Captures found by their photograph, so that keeping one does not read the whole season."""

from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the index."""
    op.create_index("ix_captures_photo", "captures", ["photo", "id"])


def downgrade() -> None:
    """Drop the index."""
    op.drop_index("ix_captures_photo", "captures")
