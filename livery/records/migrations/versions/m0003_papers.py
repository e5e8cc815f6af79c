"""What was put before a signer, revision by revision."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of papers."""
    op.create_table(
        "papers",
        sa.Column("proof", sa.String(200), primary_key=True),
        sa.Column("revision", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("content", sa.String(64), primary_key=True),
        sa.Column("pdf", sa.String(64), sa.ForeignKey("evidence.sha256"), nullable=False),
        sa.Column("pages", sa.Text, nullable=False),
        sa.Column("facts", sa.Text, nullable=False),
    )


def downgrade() -> None:
    """Drop the table of papers."""
    op.drop_table("papers")
