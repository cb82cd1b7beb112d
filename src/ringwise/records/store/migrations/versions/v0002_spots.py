"""Where a tree stands on its bench: from its left end and from its front edge."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_NUMBER: Any = sa.Double().with_variant(sa.REAL(), "sqlite")


def upgrade() -> None:
    """Add the spot to every stay; stays recorded before have none."""
    for name in ("x_mm", "y_mm"):
        op.add_column("place_revisions", sa.Column(name, _NUMBER, nullable=True))
