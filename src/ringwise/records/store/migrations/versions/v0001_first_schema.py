"""The first schema: actions, revisions of everything stored, weather, results and jobs."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision: str | None = None

_NUMBER: Any = sa.Double().with_variant(sa.REAL(), "sqlite")
_APPLICATION_ID = 0x52494E47  # "RING" in ASCII: marks the file as a collection


def _text(name: str, *, empty: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=empty)


def _number(name: str) -> sa.Column[float]:
    return sa.Column(name, _NUMBER, nullable=True)


def _flag(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer, nullable=False)


def _fuzzy(prefix: str, *, empty: bool = False) -> list[sa.Column[str]]:
    ends = [_text(f"{prefix}_earliest", empty=True), _text(f"{prefix}_latest", empty=True)]
    return [_text(f"{prefix}_typed", empty=empty), *ends, _text(f"{prefix}_precision", empty=empty)]


def _never_changed(name: str) -> None:
    for act in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {name}_no_{act.lower()} BEFORE {act} ON {name} "
            f"BEGIN SELECT RAISE(ABORT, 'the history in {name} is never changed'); END"
        )


def _revisions(name: str, *payload: sa.Column[str] | sa.Column[float] | sa.Column[int]) -> None:
    op.create_table(
        name,
        _text("id"),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column(
            "action_id", sa.Integer, sa.ForeignKey("actions.id", name=f"fk_{name}_action"), nullable=False
        ),
        _text("recorded_at"),
        _text("recorded_on"),
        _flag("withdrawn"),
        *payload,
        sa.PrimaryKeyConstraint("id", "revision", name=f"pk_{name}"),
        sa.CheckConstraint("revision >= 1", name=f"ck_{name}_revision"),
        sa.CheckConstraint("withdrawn IN (0, 1)", name=f"ck_{name}_withdrawn"),
        sqlite_strict=True,
    )
    op.create_index(f"ix_{name}_action", name, ["action_id"])
    _never_changed(name)


def _actions() -> None:
    op.create_table(
        "actions",
        sa.Column("id", sa.Integer, primary_key=True),
        _text("at"),
        _text("day"),
        _text("by_whom"),
        _text("command"),
        sa.Column(
            "undoes",
            sa.Integer,
            sa.ForeignKey("actions.id", name="fk_actions_undoes"),
            nullable=True,
            unique=True,
        ),
        sqlite_strict=True,
    )
    _never_changed("actions")


def _trees_and_places() -> None:
    _revisions(
        "tree_revisions",
        _text("name"),
        _text("species"),
        _flag("species_sure"),
        _text("origin"),
        *_fuzzy("started"),
        _text("stage", empty=True),
        _text("parent", empty=True),
        _text("front_mark"),
        _text("goal"),
        _text("size_class", empty=True),
        _text("quarantine_until", empty=True),
        *_fuzzy("retired", empty=True),
        _text("note"),
    )
    _revisions(
        "place_revisions",
        _text("tree"),
        _text("place"),
        _text("kind"),
        *_fuzzy("since"),
        *_fuzzy("until", empty=True),
    )


def _pots_and_mixes() -> None:
    _revisions(
        "pot_revisions",
        _text("shape"),
        _number("length_mm"),
        _number("width_mm"),
        _number("depth_mm"),
        _text("typed"),
        _text("holes"),
        _text("material"),
        _text("colour"),
        _text("tree", empty=True),
        _text("note"),
    )
    _revisions("mix_revisions", _text("name"), _text("parts"), _text("note"))


def _entries_and_settings() -> None:
    _revisions(
        "entry_revisions",
        _text("tree"),
        _text("kind"),
        *_fuzzy("noted"),
        _text("data"),
        _text("note"),
        _text("by_whom"),
        _text("confirmed_by"),
    )
    op.create_index("ix_entry_revisions_tree", "entry_revisions", ["tree", "kind"])
    _revisions("setting_revisions", _text("value"))


def _weather() -> None:
    _revisions("weather_revisions", _text("station"), _text("source"), _flag("invented"))
    op.create_index("ix_weather_revisions_station", "weather_revisions", ["station"])
    op.create_table(
        "weather_days",
        _text("batch"),
        _text("day"),
        _number("tmin_degC"),
        _number("tmax_degC"),
        _number("tmean_degC"),
        _number("rain_mm"),
        _number("rh_min_pct"),
        _number("rh_max_pct"),
        _number("wind_2m_m_s"),
        _number("radiation_mj_m2"),
        _number("sunshine_h"),
        _flag("filled"),
        sa.PrimaryKeyConstraint("batch", "day", name="pk_weather_days"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    _never_changed("weather_days")


def _results_and_jobs() -> None:
    op.create_table(
        "results",
        sa.Column("key", sa.Text, primary_key=True),
        _text("kind"),
        _text("payload"),
        _text("engine_version"),
        sa.Column("seed", sa.Integer, nullable=True),
        _text("made_at"),
        sqlite_strict=True,
    )
    op.create_table(
        "jobs",
        sa.Column("id", sa.Text, primary_key=True),
        _text("kind"),
        _text("state"),
        sa.Column("progress_frac", _NUMBER, nullable=False),
        _flag("cancel_requested"),
        _text("resume"),
        _text("error"),
        _text("created_at"),
        _text("changed_at"),
        _text("finished_at", empty=True),
        sa.CheckConstraint(
            "state IN ('queued', 'running', 'done', 'failed', 'cancelled')", name="ck_jobs_state"
        ),
        sa.CheckConstraint("progress_frac BETWEEN 0 AND 1", name="ck_jobs_progress"),
        sqlite_strict=True,
    )
    op.create_table(
        "job_blocks",
        sa.Column("job_id", sa.Text, sa.ForeignKey("jobs.id", name="fk_job_blocks_job"), nullable=False),
        sa.Column("block", sa.Integer, nullable=False),
        sa.Column("payload", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("job_id", "block", name="pk_job_blocks"),
        sqlite_strict=True,
    )


def upgrade() -> None:
    """Create every table, index and guard."""
    _actions()
    _trees_and_places()
    _pots_and_mixes()
    _entries_and_settings()
    _weather()
    _results_and_jobs()
    op.execute(f"PRAGMA application_id = {_APPLICATION_ID}")
