"""What a photograph looks like, so that a copy of it at another quality can be told."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make room for it; photographs kept earlier have none."""
    column = sa.Column("look", sa.String(256), nullable=False, server_default="")
    op.add_column("evidence", column)


def downgrade() -> None:
    """Forget it."""
    op.drop_column("evidence", "look")
