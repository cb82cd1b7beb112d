"""Undo: new revisions that restore what the last action had touched; the history keeps both."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, RowMapping, func, insert, select

from ringwise.kit.errors import ConflictError, NotFoundError
from ringwise.kit.words import _
from ringwise.records.model import Action
from ringwise.records.store.revisions import Stamp, add_action, newest_revisions, state
from ringwise.records.store.rows import CODECS, Codec
from ringwise.records.store.tables import ACTIONS


@dataclass(frozen=True)
class Undone:
    """What an undo took back: the action, and the values that it had touched."""

    action_id: int
    undone: int
    by: str
    command: str
    at: datetime
    touched: tuple[tuple[str, str], ...]


def last_action(connection: Connection) -> RowMapping | None:
    """The latest action that is no undo and was not yet taken back.

    Parameters
    ----------
    connection : Connection
        In a transaction.

    Returns
    -------
    RowMapping or None
        Its row; None where nothing is left to take back.

    Examples
    --------
    >>> last_action.__name__
    'last_action'
    """
    undoing = ACTIONS.alias("undoing")
    taken_back = select(undoing.c.undoes).where(undoing.c.undoes == ACTIONS.c.id)
    query = select(ACTIONS).where(ACTIONS.c.undoes.is_(None), ~taken_back.exists())
    return connection.execute(query.order_by(ACTIONS.c.id.desc()).limit(1)).mappings().first()


def undo_last(connection: Connection, action: Action, expected: int | None = None) -> Undone:
    """Restore what the last action not yet taken back had touched; said again, it walks further back.

    Parameters
    ----------
    connection : Connection
        In a writing transaction.
    action : Action
        Who undoes, when.
    expected : int, optional
        The action that is meant: where another is the latest by now, nothing is taken back.

    Returns
    -------
    Undone
        What was taken back.

    Raises
    ------
    NotFoundError
        If there is nothing left to undo.
    ConflictError
        If the latest action is not the expected one.

    Examples
    --------
    >>> undo_last.__name__
    'undo_last'
    """
    last = last_action(connection)
    if last is None:
        raise NotFoundError(_("there is nothing to undo."))
    target = int(last["id"])
    if expected is not None and expected != target:
        raise ConflictError(_("something else was stored meanwhile; look at what would be taken back now."))
    undo_id = add_action(connection, action, undoes=target)
    stamp = Stamp(undo_id, action.at)
    touched: list[tuple[str, str]] = []
    for codec in CODECS.values():
        for id_ in _restore(connection, codec, target, stamp):
            touched.append((codec.kind, id_))
    at = datetime.fromisoformat(last["at"])
    return Undone(undo_id, target, last["by_whom"], last["command"], at, tuple(touched))


def _restore(connection: Connection, codec: Codec, target: int, stamp: Stamp) -> list[str]:
    table = codec.table
    first = (
        select(table.c.id, func.min(table.c.revision)).where(table.c.action_id == target).group_by(table.c.id)
    )
    touched = [(str(id_), int(revision)) for id_, revision in connection.execute(first)]
    newest = newest_revisions(connection, codec, (id_ for id_, _revision in touched))
    rows = []
    for id_, revision in touched:
        before = state(connection, codec, id_, max(revision - 1, 1))
        row = {"id": id_, "revision": newest[id_] + 1, **stamp.row()}
        row["withdrawn"] = 1 if revision == 1 else before["withdrawn"]
        rows.append(row | {name: before[name] for name in codec.payload})
    if rows:
        connection.execute(insert(table), rows)
    return [id_ for id_, _revision in touched]
