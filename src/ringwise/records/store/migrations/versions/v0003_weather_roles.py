"""What a batch of weather is: a station's days, a forecast of days to come, or readings at a place."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Add the role to every batch; those stored before are a station's."""
    op.execute(
        sa.text(
            "ALTER TABLE weather_revisions ADD COLUMN role TEXT NOT NULL DEFAULT 'station' "
            "CONSTRAINT ck_weather_revisions_role CHECK (role IN ('station', 'forecast', 'place'))"
        )
    )
