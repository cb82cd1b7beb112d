"""The tables as SQLAlchemy knows them, for reading and writing; the migrations alone create them."""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    REAL,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
)

METADATA = MetaData()
NUMBER: Any = Double().with_variant(REAL(), "sqlite")  # strict tables know REAL only

WEATHER_COLUMNS = (
    "tmin_degC",
    "tmax_degC",
    "tmean_degC",
    "rain_mm",
    "rh_min_pct",
    "rh_max_pct",
    "wind_2m_m_s",
    "radiation_mj_m2",
    "sunshine_h",
)
WEATHER_ROLES = ("station", "forecast", "place")


def _text(name: str, *, empty: bool = False) -> Column[Any]:
    return Column(name, Text, nullable=empty)


def _revisions(name: str, *payload: Column[Any]) -> Table:
    """A table of revisions: nothing in it is ever changed or taken away."""
    return Table(
        name,
        METADATA,
        _text("id"),
        Column("revision", Integer, nullable=False),
        Column("action_id", Integer, ForeignKey("actions.id", name=f"fk_{name}_action"), nullable=False),
        _text("recorded_at"),
        _text("recorded_on"),
        Column("withdrawn", Integer, nullable=False),
        *payload,
        PrimaryKeyConstraint("id", "revision", name=f"pk_{name}"),
        CheckConstraint("revision >= 1", name=f"ck_{name}_revision"),
        CheckConstraint("withdrawn IN (0, 1)", name=f"ck_{name}_withdrawn"),
        Index(f"ix_{name}_action", "action_id"),
        sqlite_strict=True,
    )


def _fuzzy(prefix: str, *, empty: bool = False) -> tuple[Column[Any], ...]:
    return (
        _text(f"{prefix}_typed", empty=empty),
        _text(f"{prefix}_earliest", empty=True),
        _text(f"{prefix}_latest", empty=True),
        _text(f"{prefix}_precision", empty=empty),
    )


def _number(name: str) -> Column[Any]:
    return Column(name, NUMBER, nullable=True)


ACTIONS = Table(
    "actions",
    METADATA,
    Column("id", Integer, primary_key=True),
    _text("at"),
    _text("day"),
    _text("by_whom"),
    _text("command"),
    Column("undoes", Integer, ForeignKey("actions.id", name="fk_actions_undoes"), nullable=True, unique=True),
    sqlite_strict=True,
)
TREES = _revisions(
    "tree_revisions",
    _text("name"),
    _text("species"),
    Column("species_sure", Integer, nullable=False),
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
PLACES = _revisions(
    "place_revisions",
    _text("tree"),
    _text("place"),
    _text("kind"),
    *_fuzzy("since"),
    *_fuzzy("until", empty=True),
    _number("x_mm"),
    _number("y_mm"),
)
POTS = _revisions(
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
MIXES = _revisions("mix_revisions", _text("name"), _text("parts"), _text("note"))
ENTRIES = _revisions(
    "entry_revisions",
    _text("tree"),
    _text("kind"),
    *_fuzzy("noted"),
    _text("data"),
    _text("note"),
    _text("by_whom"),
    _text("confirmed_by"),
)
Index("ix_entry_revisions_tree", ENTRIES.c.tree, ENTRIES.c.kind)
SETTINGS = _revisions("setting_revisions", _text("value"))
WEATHER_BATCHES = _revisions(
    "weather_revisions",
    _text("station"),
    _text("source"),
    Column("invented", Integer, nullable=False),
    _text("role"),
)
Index("ix_weather_revisions_station", WEATHER_BATCHES.c.station)
WEATHER_DAYS = Table(
    "weather_days",
    METADATA,
    _text("batch"),
    _text("day"),
    *(_number(name) for name in WEATHER_COLUMNS),
    Column("filled", Integer, nullable=False),
    PrimaryKeyConstraint("batch", "day", name="pk_weather_days"),
    sqlite_strict=True,
    sqlite_with_rowid=False,
)
RESULTS = Table(
    "results",
    METADATA,
    Column("key", Text, primary_key=True),
    _text("kind"),
    _text("payload"),
    _text("engine_version"),
    Column("seed", Integer, nullable=True),
    _text("made_at"),
    sqlite_strict=True,
)
JOBS = Table(
    "jobs",
    METADATA,
    Column("id", Text, primary_key=True),
    _text("kind"),
    _text("state"),
    Column("progress_frac", NUMBER, nullable=False),
    Column("cancel_requested", Integer, nullable=False),
    _text("resume"),
    _text("error"),
    _text("created_at"),
    _text("changed_at"),
    _text("finished_at", empty=True),
    CheckConstraint("state IN ('queued', 'running', 'done', 'failed', 'cancelled')", name="ck_jobs_state"),
    CheckConstraint("progress_frac BETWEEN 0 AND 1", name="ck_jobs_progress"),
    sqlite_strict=True,
)
JOB_BLOCKS = Table(
    "job_blocks",
    METADATA,
    Column("job_id", Text, ForeignKey("jobs.id", name="fk_job_blocks_job"), nullable=False),
    Column("block", Integer, nullable=False),
    Column("payload", LargeBinary, nullable=False),
    PrimaryKeyConstraint("job_id", "block", name="pk_job_blocks"),
    sqlite_strict=True,
)
HISTORY_TABLES = (TREES, PLACES, POTS, MIXES, ENTRIES, SETTINGS, WEATHER_BATCHES)
