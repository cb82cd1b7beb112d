"""A migration of the tests that runs to its end but loses rows."""

from __future__ import annotations

from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Lose the results."""
    op.execute("DELETE FROM results")
