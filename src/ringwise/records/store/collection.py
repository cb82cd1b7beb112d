"""The store of one collection: what holds, what held, who did what, and everything else that is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

from sqlalchemy import Connection, Select, delete, func, insert, literal_column, select

from ringwise.kit.errors import ConflictError, InputError, NotFoundError, unknown_name
from ringwise.kit.words import _
from ringwise.records.checking import checked_change, record_words
from ringwise.records.entry_files import check_file, missing_files
from ringwise.records.model import Action, Change, Entry, JsonValue, Mix, Place, Pot, Setting, Tree
from ringwise.records.store.backups import back_up
from ringwise.records.store.connecting import Database
from ringwise.records.store.faults import clear_faults
from ringwise.records.store.jobs import JobBook
from ringwise.records.store.news import News, latest_step, news_since, touched_since
from ringwise.records.store.revisions import (
    Revision,
    add_action,
    add_revisions,
    current,
    history_of,
)
from ringwise.records.store.rows import codec_named
from ringwise.records.store.tables import ACTIONS, RESULTS
from ringwise.records.store.undoing import Undone, last_action, undo_last
from ringwise.records.store.weather_days import (
    WeatherRows,
    checked_rows,
    get_weather,
    put_weather,
    weather_stations,
)


@dataclass(frozen=True)
class Seen:
    """What a writer saw of a value before writing; None where it was not there."""

    kind: str
    id: str
    value: Any | None = None


class Store:
    """One collection, open. Reading gives values; every save is one transaction and one step of undo.

    Parameters
    ----------
    database : Database
        Its file and engine.
    folder : Path
        The folder of the collection.

    Examples
    --------
    >>> import tempfile
    >>> from datetime import timezone
    >>> from ringwise.records.store import open_store
    >>> store = open_store(Path(tempfile.mkdtemp()) / "yard")
    >>> now = Action("Ida", "tree add", datetime(2027, 3, 7, 10, tzinfo=timezone.utc))
    >>> store.save(now, [Tree("T01", "Hollow Lane", "Morus alba")])
    1
    >>> [tree.name for tree in store.trees()]
    ['Hollow Lane']
    >>> store.undo("Ida", now.at).command, store.trees()
    ('tree add', [])
    """

    def __init__(self, database: Database, folder: Path) -> None:
        self._database = database
        self.folder = folder
        self.jobs = JobBook(database)

    @property
    def path(self) -> Path:
        """The collection's file."""
        return self._database.path

    @property
    def journal(self) -> str:
        """The journal in use: "wal" or "delete"."""
        return self._database.journal

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._database.engine.dispose()

    # --- reading ---

    def trees(self, as_of: date | None = None) -> list[Tree]:
        """All trees, by id."""
        return self._values("tree", as_of)

    def tree(self, tree_id: str, as_of: date | None = None) -> Tree:
        """One tree; an unknown id offers the nearest ones."""
        trees = {tree.id: tree for tree in self.trees(as_of)}
        if tree_id not in trees:
            raise NotFoundError(str(unknown_name(_("tree"), tree_id, trees)))
        return trees[tree_id]

    def places(self, as_of: date | None = None) -> list[Place]:
        """All places, by id."""
        return self._values("place", as_of)

    def pots(self, as_of: date | None = None) -> list[Pot]:
        """All pots, by id."""
        return self._values("pot", as_of)

    def mixes(self, as_of: date | None = None) -> list[Mix]:
        """All mixes, by id."""
        return self._values("mix", as_of)

    def settings(self, as_of: date | None = None) -> dict[str, JsonValue]:
        """The settings kept in the collection's history, by name."""
        found: list[Setting] = self._values("setting", as_of)
        return {setting.id: setting.value for setting in found}

    def entries(
        self, tree: str | None = None, kind: str | None = None, as_of: date | None = None
    ) -> list[Entry]:
        """Entries of one tree or kind or of all, by the day by which they happened; unknown days first."""
        query = current(codec_named("entry"), as_of)
        table = codec_named("entry").table
        if tree is not None:
            query = query.where(table.c.tree == tree)
        if kind is not None:
            query = query.where(table.c.kind == kind)
        found: list[Entry] = self._read(query, "entry")
        return sorted(found, key=_by_day)

    def entry(self, entry_id: str, as_of: date | None = None) -> Entry:
        """One entry."""
        query = current(codec_named("entry"), as_of).where(codec_named("entry").table.c.id == entry_id)
        found = self._read(query, "entry")
        if not found:
            raise NotFoundError(_("there is no entry {id}.").format(id=entry_id))
        entry: Entry = found[0]
        return entry

    def names_photo(self, sha256: str) -> bool:
        """Whether any entry, of now or of the past, names the photo with this hash."""
        table = codec_named("entry").table
        query = select(table.c.id).where(table.c.kind == "photo", table.c.data.contains(sha256)).limit(1)
        with self._database.reading() as connection:
            return connection.execute(query).first() is not None

    def history(self, kind: str, value_id: str) -> list[Revision]:
        """Every stored state of one value, oldest first, with who wrote it."""
        with self._database.reading() as connection:
            return history_of(connection, codec_named(kind), value_id)

    def actions(self, latest: int | None = None) -> list[tuple[int, Action, int | None]]:
        """Every action, or the latest few, with its number and that of the one it undoes, oldest first."""
        query = select(ACTIONS).order_by(ACTIONS.c.id.desc()).limit(latest)
        with self._database.reading() as connection:
            rows = connection.execute(query).mappings().all()[::-1]
        return [
            (
                int(row["id"]),
                Action(row["by_whom"], row["command"], datetime.fromisoformat(row["at"])),
                row["undoes"],
            )
            for row in rows
        ]

    # --- what is new, for a reader who stays ---

    def latest_step(self) -> int:
        """The number of the latest action; it rises with every save and every undo."""
        with self._database.reading() as connection:
            return latest_step(connection)

    def touched_since(self, step: int) -> list[tuple[str, str]]:
        """(kind, id) of every value touched by actions after a step."""
        with self._database.reading() as connection:
            return touched_since(connection, step)

    def news_since(self, step: int) -> News:
        """What holds now of the values touched after a step, and the step it brings the reader to."""
        with self._database.reading() as connection:
            return news_since(connection, step)

    def next_undo(self) -> tuple[int, Action] | None:
        """The action that the next undo takes back, with its number; None where nothing is left."""
        with self._database.reading() as connection:
            row = last_action(connection)
        if row is None:
            return None
        return int(row["id"]), Action(row["by_whom"], row["command"], datetime.fromisoformat(row["at"]))

    # --- writing ---

    def save(
        self,
        action: Action,
        values: Sequence[Change],
        *,
        recorded_at: datetime | None = None,
        seen: Sequence[Seen] = (),
    ) -> int:
        """Store values and withdrawals as one transaction and one step of undo; returns the action's number.

        Nothing is stored unless all of it is valid. `recorded_at` (by default the action's time) dates the
        revisions; a new entry that brings its own `recorded_at` keeps it, a correction never does. `seen`
        is what the writer saw: where another has changed it since, nothing is stored.
        """
        return self.save_all(action, values, recorded_at=recorded_at, seen=seen)[0]

    def save_all(
        self,
        action: Action,
        values: Sequence[Change],
        *,
        recorded_at: datetime | None = None,
        seen: Sequence[Seen] = (),
    ) -> tuple[int, list[tuple[str, str]]]:
        """Like `save`, and also returns (kind, id) of each value as stored, with the ids that were given."""
        if not values:
            raise InputError(_("there is nothing to store."))
        changes = [checked_change(value) for value in values]
        self._refuse_missing_files(changes)
        with self._database.writing() as connection:
            _refuse_stale(connection, seen)
            _refuse_unknown_trees(connection, changes)
            action_id = add_action(connection, action)
            stored = add_revisions(connection, changes, action_id, recorded_at or action.at)
        return action_id, stored

    def undo(self, by: str, at: datetime, *, command: str = "undo", expected: int | None = None) -> Undone:
        """Restore what the last action not yet undone had touched; said again, it walks further back.

        With `expected` (an action's number) nothing is taken back where another came since.
        """
        with self._database.writing() as connection:
            return undo_last(connection, Action(by, command, at), expected)

    # --- weather, results ---

    def weather_put(self, action: Action, rows: WeatherRows) -> int:
        """Store the days of a station that are new or differ; returns how many there were."""
        return self.weather_put_all(action, [rows])[0]

    def weather_put_all(self, action: Action, parts: Sequence[WeatherRows]) -> list[int]:
        """Like `weather_put` for days of several stations or roles, as one step of undo."""
        for rows in parts:
            checked_rows(rows)
        with self._database.writing() as connection:
            return put_weather(connection, action, parts)

    def weather_get(self, station: str, as_of: date | None = None, role: str = "station") -> WeatherRows:
        """The weather of a station from its first to its last stored day."""
        with self._database.reading() as connection:
            return get_weather(connection, station, as_of, role)

    def weather_stations(self, as_of: date | None = None, role: str = "station") -> list[str]:
        """The stations with stored weather, by name."""
        with self._database.reading() as connection:
            return weather_stations(connection, as_of, role)

    def weather_batches(self, role: str = "station") -> list[str]:
        """The imports that count, by id: the same ones are the same weather."""
        query = current(codec_named("weather")).where(codec_named("weather").table.c.role == role)
        with self._database.reading() as connection:
            return [str(row[0]) for row in connection.execute(query)]

    def result_get(self, key: str) -> str | None:
        """The stored result with this key as JSON text; None where there is none."""
        with self._database.reading() as connection:
            found = connection.execute(select(RESULTS.c.payload).where(RESULTS.c.key == key)).scalar()
        return None if found is None else str(found)

    def result_put(
        self,
        key: str,
        kind: str,
        payload: str,
        *,
        made: datetime,
        engine_version: str = "",
        seed: int | None = None,
    ) -> None:
        """Store a result under the key of everything that it was made from."""
        row = {
            "key": key,
            "kind": kind,
            "payload": payload,
            "engine_version": engine_version,
            "seed": seed,
            "made_at": made.isoformat(),
        }
        with self._database.writing() as connection:
            connection.execute(insert(RESULTS).prefix_with("OR REPLACE", dialect="sqlite"), row)

    def results_keep(self, kind: str, newest: int) -> int:
        """Let go of all results of a kind but the newest ones; they can be made again. Returns how many."""
        kept = select(RESULTS.c.key).where(RESULTS.c.kind == kind)
        moment = func.julianday(RESULTS.c.made_at)  # texts with other offsets do not sort by time
        kept = kept.order_by(moment.desc(), literal_column("rowid").desc()).limit(newest)
        with self._database.writing() as connection:
            old = delete(RESULTS).where(RESULTS.c.kind == kind, RESULTS.c.key.not_in(kept))
            return int(connection.execute(old).rowcount)

    # --- the file ---

    def back_up(self, target: Path) -> Path:
        """A verified copy of the file, taken while it is open; the target must not exist."""
        if target.exists():
            raise InputError(_("{path} exists already; choose another name.").format(path=target))
        with clear_faults(self.path):
            return back_up(self.path, self._database.driver, target)

    def check(self) -> list[str]:
        """What a full check finds in the file and in the files its entries name; an empty list is sound."""
        with self._database.reading() as connection:
            whole = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA integrity_check(20)")]
            keys = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
        found = [line for line in whole if line != "ok"] + [f"foreign key: {tuple(row)}" for row in keys]
        return found + missing_files(self.folder, self.entries())

    def _refuse_missing_files(self, changes: Sequence[Change]) -> None:
        """A file is on disk before its entry, so that a kill never leaves an entry without its file."""
        for change in changes:
            if isinstance(change, Entry):
                check_file(self.folder, change)

    def _values(self, kind: str, as_of: date | None) -> list[Any]:
        codec = codec_named(kind)
        return self._read(current(codec, as_of).order_by(codec.table.c.id), kind)

    def _read(self, query: Select[Any], kind: str) -> list[Any]:
        codec = codec_named(kind)
        with self._database.reading() as connection:
            rows = connection.execute(query).all()
        return [codec.to_value(row) for row in rows]


def _by_day(entry: Entry) -> tuple[date, str, int, str]:
    recorded = "" if entry.recorded_at is None else entry.recorded_at.isoformat()
    return (entry.on.by or date.min, recorded, len(entry.id), entry.id)


def _refuse_stale(connection: Connection, seen: Sequence[Seen]) -> None:
    for each in seen:
        codec = codec_named(each.kind)
        row = connection.execute(current(codec).where(codec.table.c.id == each.id)).first()
        if (None if row is None else codec.to_value(row)) != each.value:
            words = (
                _("there is a {kind} {id} already; choose another id.")
                if each.value is None
                else _("{kind} {id} was changed meanwhile; look at it again.")
            )
            raise ConflictError(words.format(kind=record_words(each.kind), id=each.id))


def _refuse_unknown_trees(connection: Connection, changes: Sequence[Change]) -> None:
    """Every tree that is named must be stored, or be stored with the same action."""
    wanted = {c.tree for c in changes if isinstance(c, Entry | Place | Pot) and c.tree is not None}
    wanted |= {c.parent for c in changes if isinstance(c, Tree) and c.parent is not None}
    missing = wanted - {c.id for c in changes if isinstance(c, Tree)}
    if not missing:
        return
    table = codec_named("tree").table
    known = set(connection.execute(current(codec_named("tree")).with_only_columns(table.c.id)).scalars())
    for name in sorted(missing - known):
        raise NotFoundError(str(unknown_name(_("tree"), name, known)))
