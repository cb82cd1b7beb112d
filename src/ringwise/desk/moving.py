"""Wishes about places: carry trees to another place, set a tree on its spot, set a bench in the plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from ringwise.desk.deeds import action, not_ahead
from ringwise.desk.texts import checked_name
from ringwise.desk.yard_plan import BENCH_SETTING, set_benches
from ringwise.kit.errors import InputError, out_of_range, unknown_name
from ringwise.kit.words import _, counted
from ringwise.records.dates import parse_fuzzy_date
from ringwise.records.model import PLACE_KINDS, Change, JsonValue, Place, Setting, Withdrawn
from ringwise.records.store import Seen

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.dates import FuzzyDate

_FARTHEST_MM = 1_000_000.0
_MOST_SHOWN = 3  # names in the line that says what was moved


@dataclass(frozen=True)
class MoveWish:
    """Trees and where they are carried; spots are x from the left end and y from the front edge, in mm."""

    trees: tuple[str, ...]
    place: str
    spots: Mapping[str, Sequence[float]] = field(default_factory=dict)
    date: str = ""
    by: str | None = None


@dataclass(frozen=True)
class BenchWish:
    """A bench in the plan."""

    name: str
    kind: str
    x_mm: float
    y_mm: float
    length_mm: float
    depth_mm: float


def kind_of_place(workspace: Workspace, place: str, settings: Mapping[str, object] | None = None) -> str:
    """What kind a place is: as the grower set it, as it was written before, else by its name.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    place : str
        Its name.
    settings : mapping, optional
        The stored settings, where they were read already.

    Returns
    -------
    str
        One of the kinds of place.
    """
    stored = workspace.store.settings() if settings is None else settings
    bench = set_benches(stored).get(place)
    if bench is not None:
        return bench.kind
    for each in workspace.places:
        if each.place.casefold() == place.casefold():
            return each.kind
    folded = place.casefold()
    return next((kind for kind in PLACE_KINDS if kind in folded), "bench")


def move_trees(workspace: Workspace, wish: MoveWish) -> Shape:
    """Carry trees to a place, all of them as one step.

    A tree that stands there already only changes its spot; one that comes from elsewhere ends its stay there
    on that day and begins a new one.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : MoveWish
        Trees by id or name.

    Returns
    -------
    dict
        Keys action, line and id (the place).

    Raises
    ------
    InputError
        If nothing would change, or the date or a spot does not read.
    """
    place = checked_name(wish.place)
    when = _day(workspace, wish.date)
    spots = {workspace.tree(name).id: _spot(name, spot) for name, spot in wish.spots.items()}
    trees = list(dict.fromkeys(workspace.facts_of(name).tree.id for name in wish.trees))
    kind = kind_of_place(workspace, place)
    values: list[Change] = []
    seen: list[Seen] = []
    moved: list[str] = []
    for tree in trees:
        changes = _carried(workspace, tree, place, kind, spots.get(tree), when)
        if changes:
            values += changes
            moved.append(tree)
            seen += [Seen("place", p.id, p) for p in _open_stays(workspace, tree)]
    if not values:
        raise InputError(_("nothing changes: that is where they stand"))
    command = f"move {' '.join(moved[:_MOST_SHOWN])}" + (" ..." if len(moved) > _MOST_SHOWN else "")
    saved = workspace.store.save(action(workspace, wish.by, command), values, seen=seen)
    names = [workspace.facts[tree].tree.name for tree in moved]
    if len(names) <= _MOST_SHOWN:
        line = _("{names}: now at {place}").format(names=", ".join(names), place=place)
    else:
        line = counted("{n} tree", "{n} trees", len(names)) + ": " + _("now at {place}").format(place=place)
    return {"action": saved, "line": line, "id": place}


def _day(workspace: Workspace, typed: str) -> FuzzyDate:
    when = parse_fuzzy_date(
        typed or workspace.today.isoformat(), field=_("date"), south=workspace.settings.south
    )
    return not_ahead(workspace, when, _("date"))


def _spot(name: str, spot: Sequence[float]) -> tuple[float, float]:
    if len(spot) != 2:
        raise InputError(_("the spot of {tree} needs two numbers, x and y in mm").format(tree=name))
    for value in spot:
        if not -_FARTHEST_MM <= value <= _FARTHEST_MM:
            raise out_of_range(
                _("spot of {tree}").format(tree=name), f"{value:g}", f"-{_FARTHEST_MM:g} to {_FARTHEST_MM:g}"
            )
    return round(float(spot[0]), 1), round(float(spot[1]), 1)


def _open_stays(workspace: Workspace, tree: str) -> list[Place]:
    return [p for p in workspace.places if p.tree == tree and p.until is None]


def _carried(
    workspace: Workspace,
    tree: str,
    place: str,
    kind: str,
    spot: tuple[float, float] | None,
    when: FuzzyDate,
) -> list[Change]:
    stays = _open_stays(workspace, tree)
    here = next((p for p in stays if p.place == place), None)
    x_mm, y_mm = spot if spot is not None else (None, None)
    if here is not None:
        if spot is None or (here.x_mm, here.y_mm) == spot:
            return []
        return [replace(here, x_mm=x_mm, y_mm=y_mm)]
    ended: list[Change] = []
    for stay in stays:
        same_day = stay.since.typed == when.typed and stay.since.precision == "day"
        # carried on twice in one day: the stay in between was none
        ended.append(Withdrawn("place", stay.id) if same_day else replace(stay, until=when))
    return [*ended, Place("", tree, place, kind, when, None, x_mm, y_mm)]


def place_bench(workspace: Workspace, wish: BenchWish, *, by: str | None = None) -> Shape:
    """Set a bench in the plan, or move and size it; the trees on it come along.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : BenchWish
        Its name, kind, corner and size.
    by : str or None
        Who does it.

    Returns
    -------
    dict
        Keys action, line and id (its name).

    Raises
    ------
    InputError
        If a name, kind or size does not do.
    """
    name = checked_name(wish.name)
    if wish.kind not in PLACE_KINDS:
        raise unknown_name(_("kind of place"), wish.kind, PLACE_KINDS)
    for label, value, low, high in (
        ("x_mm", wish.x_mm, -_FARTHEST_MM, _FARTHEST_MM),
        ("y_mm", wish.y_mm, -_FARTHEST_MM, _FARTHEST_MM),
        ("length_mm", wish.length_mm, 200.0, 200_000.0),
        ("depth_mm", wish.depth_mm, 100.0, 100_000.0),
    ):
        if not low <= value <= high:
            raise out_of_range(label, f"{value:g}", f"{low:g} to {high:g}")
    bench: JsonValue = {
        "kind": wish.kind,
        "x_mm": round(wish.x_mm, 1),
        "y_mm": round(wish.y_mm, 1),
        "length_mm": round(wish.length_mm, 1),
        "depth_mm": round(wish.depth_mm, 1),
    }
    key = BENCH_SETTING + name
    before = workspace.store.settings().get(key)
    if before == bench:
        raise InputError(_("nothing changes: that is where it stands"))
    seen = [Seen("setting", key, None if before is None else Setting(key, before))]
    saved = workspace.store.save(action(workspace, by, f"bench {name}"), [Setting(key, bench)], seen=seen)
    return {"action": saved, "line": _("{bench}: set in the plan").format(bench=name), "id": name}
