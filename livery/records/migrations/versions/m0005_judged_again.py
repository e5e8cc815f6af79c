"""When a verdict was reached: verdicts of an archive judged again stand beside the first."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Tell first verdicts, whose date is the capture's, from later ones."""
    column = sa.Column("judged", sa.String(40), nullable=False, server_default="")
    op.add_column("comparisons", column)


def downgrade() -> None:
    """Forget when; later verdicts go."""
    op.execute("DELETE FROM comparisons WHERE judged <> ''")
    op.drop_column("comparisons", "judged")
