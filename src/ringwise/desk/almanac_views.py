"""What the dial of a tree and the plan of the yard take from the almanac and from the years ahead."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from ringwise.desk.ahead import ahead_of
from ringwise.desk.almanac_access import almanac_of
from ringwise.desk.dial import DialNews, GirthAhead, dial
from ringwise.desk.entry_words import operation_words
from ringwise.desk.today_sheet import SOON_DAYS
from ringwise.desk.yard_plan import yard_plan

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from ringwise.desk.almanac import Almanac, NextTold, WindowTold
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.ranged import DateBand


def dial_room(workspace: Workspace, name: str) -> Shape:
    """The dial of a tree, told by the almanac and by its years ahead as far as they are made.

    Parameters
    ----------
    workspace : Workspace
        The collection; a living one has missing years ahead made.
    name : str
        Id or name of the tree.

    Returns
    -------
    dict
        As `desk.dial.dial` answers it.
    """
    tree = workspace.facts_of(name).tree.id
    almanac = almanac_of(workspace).almanac
    of_tree = None if almanac is None else almanac.tree(tree)
    ahead = ahead_of(workspace, tree)
    years = () if ahead.ahead is None else ahead.ahead.years
    news = DialNews(
        stages={} if of_tree is None else {each.code: each.band for each in of_tree.stages},
        windows=() if of_tree is None else [_window(each) for each in of_tree.windows],
        ahead=[
            GirthAhead(each.label, each.low_mm, each.median_mm, each.high_mm, each.alive_frac)
            for each in years
        ],
        ahead_state=ahead.state,
        ahead_words=ahead.words,
    )
    return dial(workspace, tree, news)


def _window(window: WindowTold) -> dict[str, Any]:
    """A window under the keys that the dial reads."""
    return {
        "tree": window.tree,
        "operation": window.operation,
        "operation_words": operation_words(window.operation),
        "state": window.state,
        "sentence": window.sentence,
        "wanted": window.wanted,
        "open_prob": window.open_prob,
        **_days("opens", window.opens),
        **_days("closes", window.closes),
    }


def _days(end: str, band: DateBand | None) -> dict[str, str | None]:
    names = ("low", "median", "high")
    return {f"{end}_{key}": None if band is None else getattr(band, key).isoformat() for key in names}


def plan_room(workspace: Workspace) -> Shape:
    """The plan of the yard, each tree in the state of the work that comes next on it.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict
        As `desk.yard_plan.yard_plan` answers it.
    """
    almanac = almanac_of(workspace).almanac
    return yard_plan(workspace, {} if almanac is None else _states(almanac, workspace.today))


def _states(almanac: Almanac, today: date) -> Mapping[str, tuple[str, str]]:
    """Trees that are not quiet; only those are unpacked."""
    found: dict[str, tuple[str, str]] = {}
    for tree, work in almanac.nexts.items():
        state = _state(work, today)
        told = almanac.tree(tree) if state != "quiet" else None
        window = None if told is None else told.window(work.operation)
        if window is not None:
            found[tree] = (state, f"{operation_words(work.operation)}: {window.sentence}")
    return found


def _state(work: NextTold, today: date) -> str:
    if work.state == "blocked":
        return work.state
    if not work.wanted:  # a window of work that nobody wants calls for nothing
        return "quiet"
    if work.state == "open":
        return work.state
    soon = (today + timedelta(days=SOON_DAYS)).toordinal()
    return "soon" if work.state == "ahead" and work.opens <= soon else "quiet"
