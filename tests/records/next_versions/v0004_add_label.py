"""A migration of the tests: a new column, and a table that is rebuilt although others refer to it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Add a label to every tree revision and rebuild the jobs."""
    op.add_column("tree_revisions", sa.Column("label", sa.Text, nullable=False, server_default=""))
    with op.batch_alter_table("jobs", recreate="always") as jobs:
        jobs.add_column(sa.Column("place", sa.Text, nullable=True))
