"""Accounts, sessions and links."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables of people."""
    op.create_table(
        "accounts",
        sa.Column("name", sa.String(200), primary_key=True),
        sa.Column("role", sa.String(10), nullable=False),
        sa.Column("password", sa.Text, nullable=False),
        sa.Column("key", sa.Text, nullable=False),
    )
    op.create_table(
        "sessions",
        sa.Column("token", sa.String(64), primary_key=True),
        sa.Column("account", sa.String(200), sa.ForeignKey("accounts.name"), nullable=False),
        sa.Column("expires", sa.String(40), nullable=False),
    )
    op.create_table(
        "links",
        sa.Column("token", sa.String(64), primary_key=True),
        sa.Column("proof", sa.Text, nullable=False),
        sa.Column("content", sa.String(64), nullable=False),
        sa.Column("person", sa.String(200), nullable=False),
        sa.Column("expires", sa.String(40), nullable=False),
        sa.Column("key", sa.Text, nullable=False),
    )


def downgrade() -> None:
    """Drop the tables of people."""
    for table in ("links", "sessions", "accounts"):
        op.drop_table(table)
