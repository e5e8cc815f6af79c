"""Evidence, captures, samples, comparisons and the ledger."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the first tables."""
    op.create_table(
        "evidence",
        sa.Column("sha256", sa.String(64), primary_key=True),
        sa.Column("bytes", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(100), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
    )
    op.create_table(
        "captures",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
        sa.Column("key", sa.String(64), nullable=False, unique=True),
        sa.Column("photo", sa.String(64), sa.ForeignKey("evidence.sha256"), nullable=False),
        sa.Column("bat", sa.Text, nullable=False),
        sa.Column("bench", sa.Text, nullable=False),
        sa.Column("batch", sa.Text, nullable=False),
        sa.Column("date", sa.String(40), nullable=False),
        sa.Column("good", sa.Boolean, nullable=False),
        sa.Column("capture", sa.Text, nullable=False),
    )
    op.create_table(
        "samples",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
        sa.Column("capture", sa.Integer, sa.ForeignKey("captures.id"), nullable=False, index=True),
        sa.Column("item", sa.Text, nullable=False),
        sa.Column("ink", sa.Text, nullable=False),
        sa.Column("L", sa.Float, nullable=False),
        sa.Column("a", sa.Float, nullable=False),
        sa.Column("b", sa.Float, nullable=False),
    )
    op.create_index("ix_samples_ink_item", "samples", ["ink", "item"])
    op.create_table(
        "comparisons",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
        sa.Column("capture", sa.Integer, sa.ForeignKey("captures.id"), nullable=False, index=True),
        sa.Column("ink", sa.Text, nullable=False),
        sa.Column("a", sa.Text, nullable=False),
        sa.Column("b", sa.Text, nullable=False),
        sa.Column("de00", sa.Float, nullable=False),
        sa.Column("u95", sa.Float, nullable=False),
        sa.Column("p_inside", sa.Float, nullable=False),
        sa.Column("tolerance", sa.Float, nullable=False),
        sa.Column("verdict", sa.String(10), nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
    )
    op.create_table(
        "ledger",
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("entry", sa.Text, nullable=False),
    )


def downgrade() -> None:
    """Drop the first tables."""
    for table in ("ledger", "comparisons", "samples", "captures", "evidence"):
        op.drop_table(table)
