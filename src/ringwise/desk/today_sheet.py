"""The wish for today's page of the app: what is due in groups, one calm sentence, the weather strip."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from ringwise.desk.almanac_access import almanac_of
from ringwise.desk.entry_words import operation_words
from ringwise.desk.shapes import Shape
from ringwise.desk.watering_log import WATERED
from ringwise.desk.weather_strip import weather_strip
from ringwise.kit import show
from ringwise.kit.words import _, counted, inside_sentence
from ringwise.records.taxa import all_taxa

if TYPE_CHECKING:
    from ringwise.desk.almanac import Almanac, AlmanacView, WindowTold
    from ringwise.desk.workspace import Workspace
    from ringwise.records.model import Tree

SOON_DAYS = 14
DECIDE = "decide"
DUE = "due"  # state of a line about water
GROUPS = ("now", "soon", "later", "decide")
_CONFLICT_KEYS = (
    "tree",
    "name",
    "rule",
    "earlier",
    "later",
    "hard",
    "grade",
    "explanation",
    "way_out",
    "override_reason",
    "line",
)


@dataclass(frozen=True)
class _Due:
    """A line of the page with the window behind it and the group it goes to."""

    row: Mapping[str, Any]
    window: WindowTold | None
    tree: Tree
    group: str


def group_of(row: Mapping[str, Any], window: WindowTold | None, today: date) -> str:
    """Where a due line belongs.

    Parameters
    ----------
    row : mapping
        Of today's page.
    window : WindowTold or None
        Of its work.
    today : date
        The day of asking.

    Returns
    -------
    str
        "decide" for a question; "now" where its window is open, or past its best but not over for good;
        "soon" where it opens within two weeks; else "later".

    Examples
    --------
    >>> group_of({"operation": "decide", "state": None}, None, date(2027, 3, 7))
    'decide'
    """
    if row["operation"] == DECIDE:
        return "decide"
    state = row["state"] if window is None else window.state
    if state == "open":
        return "now"
    if state == "closed":
        over = window is not None and window.last is not None and window.last.high < today
        return "later" if over else "now"
    opens = None if window is None or window.opens is None else window.opens.median
    return "soon" if opens is not None and opens <= today + timedelta(days=SOON_DAYS) else "later"


def _lines(workspace: Workspace, almanac: Almanac) -> list[_Due]:
    trees = {tree.id: tree for tree in workspace.trees}
    found = []
    for row in almanac.page.get("due", ()):
        tree = trees.get(row["tree"])
        if tree is None:  # it left the collection since the almanac was made
            continue
        told = almanac.tree(tree.id)
        window = None if told is None else told.window(str(row["operation"]))
        found.append(_Due(row, window, tree, group_of(row, window, workspace.today)))
    return found


def _botanical(tree: Tree) -> str:
    kind = all_taxa().get(tree.species)
    return tree.species if kind is None else kind.botanical_name


def short_reasons(row: Mapping[str, Any]) -> list[str]:
    """The reasons of a line without what the line says already; a conflict is told once below the list.

    Parameters
    ----------
    row : mapping
        Of today's page.

    Returns
    -------
    list of str
        In their order.

    Examples
    --------
    >>> short_reasons({"cue": "planned", "when": "open now", "reasons": ["open now", "conflict: a and b"]})
    ['collides with other work (see below)']
    """
    mark = _("conflict: {what}").split("{")[0]
    said = {row["cue"], row["when"]}
    kept = [_("collides with other work (see below)") if r.startswith(mark) else r for r in row["reasons"]]
    return [text for text in dict.fromkeys(kept) if text not in said]


def _row(due: _Due) -> Shape:
    row, window = due.row, due.window
    named = window is not None and window.opens is not None
    return {
        "tree": due.tree.id,
        "name": due.tree.name,
        "botanical_name": _botanical(due.tree),
        "operation": row["operation"],
        "operation_words": row["operation_words"],
        "state": row["state"],
        "when": row["when"],
        "closes": row["closes"],
        "urgency": row["urgency"],
        "urgency_words": row["urgency_words"],
        "cue": row["cue"],
        "reasons": short_reasons(row),
        "entry": row["entry"],
        "now": due.group == "now" and row["state"] == "open",  # copper marks what is open, not what is late
        "why": f"{due.tree.id}:{row['operation']}:opens" if named else None,
    }


def _titles() -> dict[str, str]:
    return {
        "now": _("These days"),
        "soon": _("In the next two weeks"),
        "later": _("Later"),
        "decide": _("To decide"),
    }


def _work(due: _Due) -> str:
    words = str(due.row["operation_words"])
    return _("{name}, {work}").format(name=due.tree.name, work=inside_sentence(words))


def day_sentence(lines: Sequence[_Due]) -> str:
    """The day in one sentence.

    Parameters
    ----------
    lines : sequence
        Of the page.

    Returns
    -------
    str
        It also says when nothing is due.

    Examples
    --------
    >>> day_sentence([])
    'Nothing needs you today.'
    """
    now = [due for due in lines if due.group == "now"]
    if now:
        closing = [due for due in now if due.row["closes"] and due.row["state"] == "open"]
        first = min(closing, key=lambda due: str(due.row["closes"]), default=now[0])
        return counted(
            "{n} work wants you these days: {{work}}.",
            "{n} works want you these days; first to close: {{work}}.",
            len(now),
        ).format(work=_work(first))
    ahead = [due for due in lines if due.window is not None and due.window.opens is not None]
    if ahead:
        first = min(ahead, key=_opens)
        return _("Nothing needs you today; the first window opens around {day} ({work}).").format(
            day=show.day(_opens(first)), work=_work(first)
        )
    waiting = sum(1 for due in lines if due.group == "decide")
    if waiting:
        return counted(
            "Nothing needs your hands today; {n} question waits for you.",
            "Nothing needs your hands today; {n} questions wait for you.",
            waiting,
        )
    return _("Nothing needs you today.")


def _opens(due: _Due) -> date:
    return date.max if due.window is None or due.window.opens is None else due.window.opens.median


def _sentence(workspace: Workspace, view: AlmanacView, lines: Sequence[_Due]) -> str:
    if not workspace.trees:
        return _("There is no tree yet.")
    if view.almanac is None:
        if view.state == "making":
            return _("The almanac is being made; what is due follows in a moment.")
        return view.failed or _("There is no almanac, so nothing can be said of what is due.")
    return day_sentence(lines)


def _left_alone(rows: Iterable[Mapping[str, Any]]) -> list[Shape]:
    return [
        {
            "tree": row["tree"],
            "name": row["name"],
            "operation": row["operation"],
            "operation_words": operation_words(str(row["operation"])),
            "because": row["because"],
            "reasons": list(row["reasons"]),
            "line": row["line"],
        }
        for row in rows
    ]


def _conflicts(rows: Iterable[Mapping[str, Any]]) -> list[Shape]:
    return [{key: row[key] for key in _CONFLICT_KEYS} for row in rows]


def _water(workspace: Workspace, block: Mapping[str, Any], *, making: bool) -> Shape:
    """What wants water; what was watered today is left out until the newer almanac is there."""
    gone: set[str] = set()
    if making:
        today = workspace.today
        gone = {e.tree for e in workspace.entries if e.kind == WATERED and e.on.by == today}
    known = {tree.id for tree in workspace.trees}
    rows = []
    for row in block.get("rows", ()):
        trees = [each for each in row["trees"] if each["tree"] in known and each["tree"] not in gone]
        if trees:
            rows.append(
                {
                    "title": row["title"],
                    "words": row["words"],
                    "now": row["state"] == DUE,
                    "why": row["why"],
                    "trees": trees,
                }
            )
    return {"rows": rows, "roof": list(block.get("roof", ()))}


def today_sheet(workspace: Workspace, *, almanac: AlmanacView | None = None) -> Shape:
    """Today's page of the app. No forecast is made for it: what is due comes from the almanac.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    almanac : AlmanacView, optional
        By default the workspace's own.

    Returns
    -------
    dict
        As the contract of the app has it; groups without a line are left out.
    """
    view = almanac or almanac_of(workspace)
    page: Mapping[str, Any] = {} if view.almanac is None else view.almanac.page
    lines = [] if view.almanac is None else _lines(workspace, view.almanac)
    titles = _titles()
    groups = [
        {"key": key, "title": titles[key], "rows": [_row(due) for due in lines if due.group == key]}
        for key in GROUPS
    ]
    day = show.day(workspace.today, year=True)
    name = workspace.settings.name
    return {
        "today": workspace.today.isoformat(),
        "heading": _("{yard}, {day}").format(yard=name, day=day) if name else day,
        "sentence": _sentence(workspace, view, lines),
        "groups": [group for group in groups if group["rows"]],
        "water": _water(workspace, page.get("water", {}), making=view.state == "making"),
        "left_alone": _left_alone(page.get("left_alone", ())),
        "conflicts": _conflicts(page.get("conflicts", ())),
        "overridden": _conflicts(page.get("overridden", ())),
        "notes": list(page.get("notes", ())),
        "strip": weather_strip(workspace),
        "almanac": view.state,
    }
