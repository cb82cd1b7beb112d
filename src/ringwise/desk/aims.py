"""Wishes about a tree's aims: what is aimed at, and changing it; each change is a new revision."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from ringwise.desk.aims_typed import measure_number, ranged_wish
from ringwise.desk.deeds import action
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.shapes import Shape
from ringwise.desk.workspace import Workspace, find_tree
from ringwise.kit.errors import InputError, MissingFieldError, out_of_range, unknown_name
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.dates import parse_fuzzy_date
from ringwise.records.facts import TreeFacts
from ringwise.records.model import Entry
from ringwise.records.store import Seen

if TYPE_CHECKING:
    from ringwise.futures.aims import Aims, Wish
    from ringwise.futures.weighing import TimeWeights

KIND = "aim"
_BUILDING = frozenset({"S1", "S2", "S3"})
_SMALL = frozenset({"XS", "S"})
_CONIFERS = frozenset({"G5", "G6"})
_ENDS = ("none_below", "full_from", "full_to", "none_above")


@dataclass(frozen=True)
class AimsWish:
    """What was typed for `ringwise aims TREE`: a set, measures with ranges, weights, weights of years."""

    tree: str
    set_name: str = ""
    measures: tuple[str, ...] = ()
    weights: tuple[str, ...] = ()
    time: str = ""
    by: str | None = None

    @property
    def changes(self) -> bool:
        """Whether anything is to be stored."""
        return bool(self.set_name or self.measures or self.weights or self.time)


@dataclass(frozen=True)
class TreeAims:
    """A tree's aims with the weights of years, and the entry that holds them; None for a ready-made guess."""

    aims: Aims
    time: TimeWeights
    entry: Entry | None


def usual_set(facts: TreeFacts) -> str:
    """The ready-made set taken for a tree whose grower has set no aims.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        By stage, size and kind.
    """
    if facts.tree.stage in _BUILDING:
        return "thicken"
    if facts.tree.size_class in _SMALL:
        return "fine"
    group = facts.taxon.group if facts.taxon is not None else ""
    return "formal" if group in _CONIFERS else "meadow"


def aims_of(facts: TreeFacts) -> TreeAims:
    """The aims of a tree: its own, else a ready-made set.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    TreeAims
        With the weights of years.
    """
    from ringwise.futures.aims import aim_set
    from ringwise.futures.weighing import usual_time_weights

    held = [entry for entry in facts.entries if entry.kind == KIND]
    if not held:
        return TreeAims(aim_set(usual_set(facts)), usual_time_weights(), None)
    return TreeAims(*_read(held[-1].data), held[-1])


def _read(data: Mapping[str, Any]) -> tuple[Aims, TimeWeights]:
    from ringwise.futures.aims import Aims, Wish
    from ringwise.futures.weighing import TimeWeights

    wishes = tuple(
        Wish(str(each["measure"]), float(each["weight"]), *(each.get(end) for end in _ENDS))
        for each in data["wishes"]
    )
    return Aims(str(data["set"]), wishes, own=True), TimeWeights(*(float(each) for each in data["time"]))


def _kept(aims: Aims, time: TimeWeights) -> dict[str, Any]:
    return {
        "set": aims.name,
        "wishes": [
            {"measure": wish.measure, "weight": wish.weight}
            | {end: value for end, value in zip(_ENDS, wish.corners, strict=True) if value is not None}
            for wish in aims.wishes
        ],
        "time": [time.early, time.middle, time.late],
    }


def _parted(text: str, option: str, example: str) -> tuple[str, str]:
    name, mark, value = (part.strip() for part in text.partition("="))
    if not mark or not name or not value:
        raise InputError(
            _('{option} is "{text}"; write it as {example}').format(option=option, text=text, example=example)
        )
    return name, value


def _measure(text: str, aims: Aims) -> Wish:
    """A range as typed: "height_mm=30cm..45cm", or with both ends at which it counts nothing."""
    from ringwise.futures.aims import AIMED, Wish

    option = "--measure"
    name, value = _parted(text, option, "height_mm=30cm..45cm")
    if name not in AIMED:
        raise unknown_name(option, name, AIMED)
    parts = [measure_number(part, name, f"{option} {name}") for part in value.split("..")]
    held = aims.wish(name)
    weight = 1.0 if held is None else held.weight
    if len(parts) == len(_ENDS):
        return Wish(name, weight, *parts)
    if len(parts) != 2:
        raise InputError(
            _('{option} {name} is "{text}"; give a range FROM..TO, or NONE..FROM..TO..NONE').format(
                option=option, name=name, text=value
            )
        )
    return ranged_wish(name, weight, parts[0], parts[1])


def _weighted(aims: Aims, text: str) -> Aims:
    option = "--weight"
    name, value = _parted(text, option, "tips_dm2=2")
    held = aims.wish(name)
    if held is None:
        raise unknown_name(option, name, [wish.measure for wish in aims.wishes])
    weight = parse_quantity(value, "fraction", field=f"{option} {name}")
    rest = tuple(wish for wish in aims.wishes if wish is not held)
    if weight == 0:
        if not rest:
            raise MissingFieldError(_("aims need at least one measure; give another one before"))
        return replace(aims, wishes=rest)
    wishes = tuple(replace(wish, weight=weight) if wish is held else wish for wish in aims.wishes)
    return replace(aims, wishes=wishes)


def _time(text: str) -> TimeWeights:
    from ringwise.futures.weighing import TimeWeights

    parts = [part.strip() for part in text.replace(":", ",").split(",")]
    if len(parts) != 3:
        raise out_of_range("--time", text, _("three numbers for early, middle and late years, such as 1,2,2"))
    return TimeWeights(*(parse_quantity(part, "fraction", field="--time") for part in parts))


def _changed(now: TreeAims, wish: AimsWish) -> tuple[Aims, TimeWeights]:
    from ringwise.futures.aims import aim_set

    aims = aim_set(wish.set_name) if wish.set_name else now.aims
    for text in wish.measures:
        new = _measure(text, aims)
        known = aims.wish(new.measure)
        wishes = tuple(new if each is known else each for each in aims.wishes)
        aims = replace(aims, wishes=wishes if known is not None else (*wishes, new))
    for text in wish.weights:
        aims = _weighted(aims, text)
    return replace(aims, own=True), _time(wish.time) if wish.time else now.time


def aims_answer(workspace: Workspace, wish: AimsWish) -> Shape:
    """A tree's aims, after a change where one was asked for.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : AimsWish
        What was typed.

    Returns
    -------
    dict
        Keys tree, name, set, title, own, revision, time, wishes and lines.

    Raises
    ------
    InputError
        If a measure, range or weight does not read; nothing is stored then.
    """
    facts = workspace.facts_of(wish.tree)
    now = aims_of(facts)
    if not wish.changes:
        return _told(facts, now)
    aims, time = _changed(now, wish)
    stored, _action = store_aims(workspace, facts, now, TreeAims(aims, time, None), wish.by)
    return _told(facts, TreeAims(aims, time, stored))


def store_aims(
    workspace: Workspace, facts: TreeFacts, now: TreeAims, new: TreeAims, by: str | None = None
) -> tuple[Entry, int]:
    """Store what is aimed at with a tree, as a new revision of its entry.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    now : TreeAims
        As they are stored.
    new : TreeAims
        As they are to be.
    by : str or None
        Who changes them; the owner where not given.

    Returns
    -------
    (Entry, int)
        As it is stored, and the number of the step.

    Raises
    ------
    InputError
        If nothing changes.
    ConflictError
        If the tree is retired.
    """
    tree = find_tree(workspace.store.trees(), facts.tree.id)
    on = parse_fuzzy_date(workspace.today.isoformat(), field="--date", south=workspace.settings.south)
    refuse_on_retired(workspace, tree, KIND, on)
    data, doing = _kept(new.aims, new.time), action(workspace, by, f"aims {tree.id}")
    if now.entry is None:
        entry = Entry("", tree.id, KIND, on, data, by=by or workspace.settings.owner)
        step, ids = workspace.store.save_all(doing, [entry])
        return workspace.store.entry(ids[0][1]), step
    if data == now.entry.data:
        raise InputError(_("nothing changes: that is what is aimed at already"))
    entry = replace(now.entry, data=data, on=on)
    step = workspace.store.save(doing, [entry], seen=[Seen("entry", entry.id, now.entry)])
    return workspace.store.entry(entry.id), step


def aims_mark(facts: TreeFacts) -> str:
    """What tells whether a tree's aims have changed.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        Blank where the grower set none.
    """
    held = [entry for entry in facts.entries if entry.kind == KIND]
    return repr(held[-1].data) if held else ""


def wish_shapes(aims: Aims) -> list[Shape]:
    """The wishes of a set of aims for an answer.

    Parameters
    ----------
    aims : Aims
        Of a tree.

    Returns
    -------
    list of dict
        One each, with its weight as a share of all.
    """
    from ringwise.futures.measure_words import measure_text
    from ringwise.futures.weighed_words import range_words

    return [
        {
            "measure": wish.measure,
            "label": measure_text(wish.measure).label,
            "weight_frac": float(share),
            "range": range_words(wish),
        }
        | dict(zip(_ENDS, wish.corners, strict=True))
        for wish, share in zip(aims.wishes, aims.weights, strict=True)
    ]


def _told(facts: TreeFacts, held: TreeAims) -> Shape:
    from ringwise.futures.aims import SETS, aim_title
    from ringwise.kit import show

    aims, time, revision = held.aims, held.time, 0 if held.entry is None else held.entry.revision
    wishes = wish_shapes(aims)
    origin = (
        _("own aims, revision {n}, from: {set}").format(n=revision, set=aim_title(aims.name))
        if held.entry is not None
        else _("taken for lack of own aims: {set}").format(set=aim_title(aims.name))
    )
    lines = [f"{facts.tree.id} {facts.tree.name}: {origin}"]
    for each in wishes:
        weight = show.percent(float(each["weight_frac"]))
        lines.append(f"   {weight:>5}  {each['label']} ({each['measure']}): {each['range']}")
    lines.append(
        _("years: early {a}, middle {b}, late {c}").format(
            a=show.number(time.early), b=show.number(time.middle), c=show.number(time.late)
        )
    )
    lines.append(_("ready-made sets: {sets}").format(sets=", ".join(SETS)))
    return {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "set": aims.name,
        "title": aim_title(aims.name),
        "own": held.entry is not None,
        "revision": revision,
        "time": {"early": time.early, "middle": time.middle, "late": time.late},
        "wishes": wishes,
        "lines": lines,
    }
