"""What each revision looked like, so that a change can be drawn."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Let papers name their likeness; those kept earlier have none."""
    with op.batch_alter_table("papers") as papers:
        papers.add_column(sa.Column("likeness", sa.String(64), nullable=True))
        papers.create_foreign_key("papers_likeness", "evidence", ["likeness"], ["sha256"])


def downgrade() -> None:
    """Drop the likenesses."""
    with op.batch_alter_table("papers") as papers:
        papers.drop_constraint("papers_likeness", type_="foreignkey")
        papers.drop_column("likeness")
