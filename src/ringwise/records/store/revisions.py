"""Revisions: every save adds, the newest not withdrawn is what holds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, Select, and_, func, insert, select

from ringwise.kit.errors import ConflictError, MissingFieldError, NotFoundError
from ringwise.kit.words import _
from ringwise.records.checking import record_words
from ringwise.records.model import Action, Change, Entry, Withdrawn
from ringwise.records.store.rows import FIRST_COLUMNS, Codec, codec_named, codec_of
from ringwise.records.store.tables import ACTIONS

_IN_ONE_QUERY = 500  # ids asked for at once, well under SQLite's limit of bound values


@dataclass(frozen=True)
class Stamp:
    """Which action wrote a revision, and when."""

    action_id: int
    recorded_at: datetime

    def row(self) -> dict[str, Any]:
        """Its columns; the day is the local one at the place where it was recorded."""
        return {
            "action_id": self.action_id,
            "recorded_at": self.recorded_at.isoformat(),
            "recorded_on": self.recorded_at.date().isoformat(),
        }


@dataclass(frozen=True)
class Revision:
    """One stored state of a value; a withdrawn one took the value out of view."""

    id: str
    revision: int
    value: Any
    withdrawn: bool
    recorded_at: datetime
    action_id: int
    by: str
    command: str


def current(codec: Codec, as_of: date | None = None) -> Select[Any]:
    """The query for the values that hold, or held by what was known at the end of a day.

    Parameters
    ----------
    codec : Codec
        The kind.
    as_of : date, optional
        Only revisions recorded on or before it count.

    Returns
    -------
    Select
        Whole rows, to be narrowed further.

    Examples
    --------
    >>> "max(newer.revision)" in str(current(codec_named("tree")))
    True
    """
    table = codec.table
    newer = table.alias("newer")
    newest = select(func.max(newer.c.revision)).where(newer.c.id == table.c.id)
    if as_of is not None:
        newest = newest.where(newer.c.recorded_on <= as_of.isoformat())
    return select(table).where(
        table.c.withdrawn == 0, table.c.revision == newest.correlate(table).scalar_subquery()
    )


def add_action(connection: Connection, action: Action, undoes: int | None = None) -> int:
    """Store who does what now; everything in the transaction refers to it.

    Parameters
    ----------
    connection : Connection
        In a writing transaction.
    action : Action
        Its time carries an offset.
    undoes : int, optional
        The action taken back.

    Returns
    -------
    int
        The action's number.

    Raises
    ------
    MissingFieldError
        If the time has no offset.

    Examples
    --------
    >>> add_action(None, Action("Ida", "log", datetime(2027, 3, 7)))  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ringwise.kit.errors.MissingFieldError: an action needs the offset of its time, ...
    """
    if action.at.utcoffset() is None:
        raise MissingFieldError(_("an action needs the offset of its time, such as 2027-03-07T10:00+01:00."))
    row = {
        "at": action.at.isoformat(),
        "day": action.at.date().isoformat(),
        "by_whom": action.by,
        "command": action.command,
        "undoes": undoes,
    }
    key: Any = connection.execute(insert(ACTIONS), row).inserted_primary_key
    return int(key[0])


def newest_revisions(connection: Connection, codec: Codec, ids: Iterable[str]) -> dict[str, int]:
    """The number of the newest revision of each id that is stored.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    codec : Codec
        The kind.
    ids : iterable of str
        Of values.

    Returns
    -------
    dict of str to int
        Ids that were never stored are left out.

    Examples
    --------
    >>> newest_revisions(None, codec_named("tree"), [])
    {}
    """
    table, wanted, found = codec.table, sorted(set(ids)), {}
    for start in range(0, len(wanted), _IN_ONE_QUERY):
        some = wanted[start : start + _IN_ONE_QUERY]
        query = (
            select(table.c.id, func.max(table.c.revision)).where(table.c.id.in_(some)).group_by(table.c.id)
        )
        found.update({str(id_): int(revision) for id_, revision in connection.execute(query)})
    return found


def add_revisions(
    connection: Connection, changes: Sequence[Change], action_id: int, recorded_at: datetime
) -> list[tuple[str, str]]:
    """Add a revision for each change; a blank id is replaced by a free one.

    Parameters
    ----------
    connection : Connection
        In a writing transaction.
    changes : sequence of values and withdrawals
        In order; a later one of the same id follows the earlier.
    action_id : int
        From `add_action`.
    recorded_at : datetime
        For all but new entries that bring their own time.

    Returns
    -------
    list of (kind, id)
        As stored, in the order given.

    Raises
    ------
    NotFoundError
        If a withdrawal names nothing that is stored.
    ConflictError
        If an entry was changed since it was read, or its id is taken.

    Examples
    --------
    >>> add_revisions(None, [], 1, datetime(2027, 3, 7))
    []
    """
    named = _with_ids(connection, changes)
    by_kind: dict[str, list[Change]] = {}
    for kind, change in named:
        by_kind.setdefault(kind, []).append(change)
    for kind, some in by_kind.items():
        codec = codec_named(kind)
        newest = newest_revisions(connection, codec, (change.id for change in some))
        rows = []
        for change in some:
            stamp = Stamp(action_id, _recorded(change, recorded_at))
            rows.append(_row(connection, codec, change, newest.get(change.id, 0), stamp))
            newest[change.id] = newest.get(change.id, 0) + 1
            if isinstance(change, Withdrawn):
                connection.execute(insert(codec.table), rows)
                rows = []
        if rows:
            connection.execute(insert(codec.table), rows)
    return [(kind, change.id) for kind, change in named]


def _recorded(change: Change, recorded_at: datetime) -> datetime:
    """A new entry may bring the time at which it was noted; a correction is always recorded now."""
    if isinstance(change, Entry) and change.revision == 0 and change.recorded_at is not None:
        return change.recorded_at
    return recorded_at


def _row(connection: Connection, codec: Codec, change: Change, newest: int, stamp: Stamp) -> dict[str, Any]:
    first = {"id": change.id, "revision": newest + 1, **stamp.row()}
    if isinstance(change, Withdrawn):
        if newest == 0:
            raise NotFoundError(
                _("there is no {kind} {id} to withdraw.").format(kind=record_words(change.kind), id=change.id)
            )
        before = state(connection, codec, change.id, newest)
        return first | {"withdrawn": 1} | {name: before[name] for name in codec.payload}
    if isinstance(change, Entry) and change.revision != newest:
        raise ConflictError(
            _("entry {id} was changed meanwhile (it is at revision {now}); read it again.").format(
                id=change.id, now=newest
            )
            if change.revision
            else _("there is an entry {id} already; correct it or leave the id blank.").format(id=change.id)
        )
    return first | {"withdrawn": 0} | codec.to_row(change)


def _with_ids(connection: Connection, changes: Sequence[Change]) -> list[tuple[str, Change]]:
    """Each change with its kind; blank ids are numbered on from what is stored."""
    from dataclasses import replace

    named: list[tuple[str, Change]] = []
    counts: dict[str, int] = {}
    for change in changes:
        codec = codec_named(change.kind) if isinstance(change, Withdrawn) else codec_of(change)
        if not change.id:
            change = replace(change, id=_free_id(connection, codec, counts))
        named.append((codec.kind, change))
    return named


def _free_id(connection: Connection, codec: Codec, counts: dict[str, int]) -> str:
    table = codec.table
    if codec.kind not in counts:
        counts[codec.kind] = connection.execute(
            select(func.count()).select_from(table).where(table.c.revision == 1)
        ).scalar_one()
    while True:
        counts[codec.kind] += 1
        name = f"{codec.letter}{counts[codec.kind]}"
        taken = connection.execute(select(table.c.id).where(table.c.id == name).limit(1)).first()
        if taken is None:
            return name


def state(connection: Connection, codec: Codec, id_: str, revision: int) -> RowMapping:
    """One stored revision as a row.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    codec : Codec
        The kind.
    id_ : str
        Of the value.
    revision : int
        Its number.

    Returns
    -------
    RowMapping
        Cells by column name.

    Examples
    --------
    >>> state.__name__
    'state'
    """
    table = codec.table
    query = select(table).where(and_(table.c.id == id_, table.c.revision == revision))
    return connection.execute(query).mappings().one()


def history_of(connection: Connection, codec: Codec, id_: str) -> list[Revision]:
    """Every stored state of one value, oldest first.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    codec : Codec
        The kind.
    id_ : str
        Of the value.

    Returns
    -------
    list of Revision
        Never empty.

    Raises
    ------
    NotFoundError
        If nothing was ever stored under this id.

    Examples
    --------
    >>> history_of.__name__
    'history_of'
    """
    table = codec.table
    query = (
        select(table, ACTIONS.c.by_whom.label("actor"), ACTIONS.c.command.label("actor_command"))
        .join(ACTIONS, ACTIONS.c.id == table.c.action_id)
        .where(table.c.id == id_)
        .order_by(table.c.revision)
    )
    rows = connection.execute(query).all()
    if not rows:
        raise NotFoundError(_("there is no {kind} {id}.").format(kind=record_words(codec.kind), id=id_))
    width = len(FIRST_COLUMNS) + len(codec.payload)
    return [
        Revision(
            id=row[0],
            revision=row[1],
            value=codec.to_value(tuple(row[:width])),
            withdrawn=bool(row[5]),
            recorded_at=datetime.fromisoformat(row[3]),
            action_id=row[2],
            by=row[width],
            command=row[width + 1],
        )
        for row in rows
    ]
