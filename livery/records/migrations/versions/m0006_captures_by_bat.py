"""Captures found by their bat, so that a page of one bat does not read the whole season."""

from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the index."""
    op.create_index("ix_captures_bat", "captures", ["bat", "id"])


def downgrade() -> None:
    """Drop the index."""
    op.drop_index("ix_captures_bat", "captures")
