"""What the entries of a tree tell of its surface roots: the newest map of its underside, or its tape."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringwise.records.model import Entry

if TYPE_CHECKING:
    from ringwise.structure.roots import TracedRoot


def latest_roots(entries: Sequence[Entry]) -> Entry | None:
    """The newest map of an underside, or None."""
    return next((each for each in reversed(entries) if each.kind == "roots"), None)


def traced_roots(entries: Sequence[Entry]) -> tuple[TracedRoot, ...]:
    """The roots traced on the newest map of the underside; empty where none was traced."""
    from ringwise.structure.roots import root_map

    entry = latest_roots(entries)
    return () if entry is None else root_map(entry.data).roots


def seen_roots(entries: Sequence[Entry]) -> tuple[bool, ...] | None:
    """For each hour whether a live root is seen, by the newest map or tape; None where none tells it.

    Parameters
    ----------
    entries : sequence of Entry
        Of a tree, the oldest first.

    Returns
    -------
    tuple of bool or None
        Twelve; hours at which nobody looked count as empty where others were looked at.
    """
    return next((sectors for each in reversed(entries) if (sectors := _sectors(each)) is not None), None)


def latest_sectors(entries: Sequence[Entry]) -> Entry | None:
    """The entry that `seen_roots` stands on, or None."""
    return next((each for each in reversed(entries) if _sectors(each) is not None), None)


def _sectors(entry: Entry) -> tuple[bool, ...] | None:
    from ringwise.structure.roots import root_sectors
    from ringwise.structure.tape import tape_from_json

    if entry.kind == "roots":
        return tuple(bool(live) for live in root_sectors(entry.data))
    return tape_from_json(entry.data).root_sectors if entry.kind == "tape" else None
