"""What a reader who stays needs to know: the latest step, and what was touched since another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, select

from ringwise.records.store.revisions import current
from ringwise.records.store.rows import CODECS
from ringwise.records.store.tables import ACTIONS


@dataclass(frozen=True)
class News:
    """What differs since a step, as one consistent view of the file.

    `values` holds by kind and id what holds now, None where a value was taken out of view; a kind without
    news is left out. Of a batch of weather only the row of the batch is told, not its days.
    """

    step: int
    values: Mapping[str, Mapping[str, Any | None]]


def latest_step(connection: Connection) -> int:
    """The number of the latest action; 0 where nothing was ever stored.

    Parameters
    ----------
    connection : Connection
        In a transaction.

    Returns
    -------
    int
        Undoing is an action too, so that it only ever rises.

    Examples
    --------
    >>> latest_step.__name__
    'latest_step'
    """
    return int(connection.execute(select(func.coalesce(func.max(ACTIONS.c.id), 0))).scalar_one())


def touched_since(connection: Connection, step: int) -> list[tuple[str, str]]:
    """The values of which a revision was added after a step.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    step : int
        Number of an action; 0 for everything.

    Returns
    -------
    list of (kind, id)
        By kind, then id.

    Examples
    --------
    >>> touched_since.__name__
    'touched_since'
    """
    found: list[tuple[str, str]] = []
    for codec in CODECS.values():
        table = codec.table
        query = select(table.c.id).where(table.c.action_id > step).distinct().order_by(table.c.id)
        found.extend((codec.kind, str(id_)) for id_ in connection.execute(query).scalars())
    return found


def news_since(connection: Connection, step: int) -> News:
    """The values touched after a step as they hold now.

    Parameters
    ----------
    connection : Connection
        In a transaction, so that step and values belong together.
    step : int
        The latest one that the reader knows; 0 for everything.

    Returns
    -------
    News
        With the step that it brings the reader to.

    Examples
    --------
    >>> news_since.__name__
    'news_since'
    """
    latest = latest_step(connection)
    values: dict[str, dict[str, Any | None]] = {}
    touched = [] if latest == step else touched_since(connection, step)
    for kind, id_ in touched:
        values.setdefault(kind, {})[id_] = None
    for kind, held in values.items():
        codec = CODECS[kind]
        query = current(codec)
        if step:
            since = select(codec.table.c.id).where(codec.table.c.action_id > step)
            query = query.where(codec.table.c.id.in_(since))
        for row in connection.execute(query):
            held[str(row[0])] = codec.to_value(row)
    return News(latest, values)
