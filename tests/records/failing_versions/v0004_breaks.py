"""A migration of the tests that fails half-way, after it has changed tables and rows."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Change much, then fail."""
    op.add_column("tree_revisions", sa.Column("label", sa.Text, nullable=True))
    op.execute("DELETE FROM results")
    op.drop_table("job_blocks")
    op.execute("INSERT INTO no_such_table VALUES (1)")
