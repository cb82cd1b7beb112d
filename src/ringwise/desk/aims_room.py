"""A tree's aims as the app's form has them: ready-made sets to begin from, ranges and weights as typed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING

from ringwise.desk.aims import TreeAims, aims_of, store_aims
from ringwise.desk.aims_typed import measure_number, ranged_wish
from ringwise.kit import show
from ringwise.kit.errors import ConflictError, MissingFieldError, RingwiseError, out_of_range, unknown_name
from ringwise.kit.reading import Reading, current_reading
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.aims import Aims, Wish
    from ringwise.futures.weighing import TimeWeights
    from ringwise.records.facts import TreeFacts

_TIMES = ("early", "middle", "late")


@dataclass(frozen=True)
class WishTyped:
    """One measure as typed: how much it counts, and the range that counts fully; blank ends are open."""

    measure: str
    weight: str
    low: str
    high: str


@dataclass(frozen=True)
class AimsTyped:
    """Aims as typed: the set they begin from, wishes, weights of early, middle and late years.

    `revision` is that of the entry which was seen, 0 for none.
    """

    set_name: str
    wishes: tuple[WishTyped, ...]
    time: tuple[str, str, str]
    revision: int


def aims_form(facts: TreeFacts) -> Shape:
    """What a form of a tree's aims begins with.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    dict
        As `faces/web/shapes/aims.TreeAims`.
    """
    from ringwise.futures.aims import aim_title

    held = aims_of(facts)
    title = aim_title(held.aims.name)
    told = _("your own, from: {set}") if held.entry is not None else _("{set}; taken for lack of your own")
    sets, measures = _offered(current_reading())
    return {
        "set": held.aims.name,
        "title": told.format(set=title),
        "own": held.entry is not None,
        "revision": 0 if held.entry is None else held.entry.revision,
        "wishes": _wishes(held.aims),
        "time": _times(held.time),
        "sets": sets,
        "measures": measures,
    }


@cache
def _offered(_how: Reading) -> tuple[list[Shape], list[Shape]]:
    """Ready-made sets and all measures; the same for every tree, in a reader's words."""
    from ringwise.futures.aims import AIMED, SETS, aim_set, aim_title
    from ringwise.futures.measure_words import measure_text

    sets = [{"key": key, "title": aim_title(key), "wishes": _wishes(aim_set(key))} for key in SETS]
    measures = [{"key": key, "words": measure_text(key).label, "more": _unit(key)} for key in AIMED]
    return sets, sorted(measures, key=lambda each: each["words"].casefold())


def _unit(measure: str) -> str:
    """What a bare number means, where it is no plain number."""
    from ringwise.futures.measure_words import measure_text

    if measure_text(measure).unit != "mm":
        return ""
    return _("in") if current_reading().units == "inch" else _("cm")


def _wishes(aims: Aims) -> list[Shape]:
    from ringwise.futures.measure_words import measure_text
    from ringwise.futures.weighed_words import range_words

    return [
        {
            "measure": wish.measure,
            "label": measure_text(wish.measure).label,
            "weight": show.number(wish.weight, 3),
            "share_shown": show.percent(float(share)),
            "range_shown": range_words(wish),
            "low": _end(wish, wish.full_from),
            "high": _end(wish, wish.full_to),
        }
        for wish, share in zip(aims.wishes, aims.weights, strict=True)
    ]


def _end(wish: Wish, value: float | None) -> str:
    from ringwise.futures.weighed_words import value_words

    return "" if value is None else value_words(wish.measure, value)


def _times(time: TimeWeights) -> Shape:
    return {name: show.number(getattr(time, name), 3) for name in _TIMES}


def set_aims(workspace: Workspace, tree: str, typed: AimsTyped) -> Shape:
    """Store a tree's aims as they were typed in the app's form.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    typed : AimsTyped
        As typed.

    Returns
    -------
    dict
        Keys action, id and line.

    Raises
    ------
    ConflictError
        If they were changed since they were seen.
    InputError
        If a weight or an end does not read, with its field, or nothing changes; nothing is stored then.
    """
    facts = workspace.facts_of(tree)
    now = aims_of(facts)
    revision = 0 if now.entry is None else now.entry.revision
    if typed.revision != revision:
        raise ConflictError(_("the aims were changed meanwhile; look at them again."))
    new = _read(typed, now)
    stored, step = store_aims(workspace, facts, now, new)
    line = _("{id} {name}: its aims were changed").format(id=facts.tree.id, name=facts.tree.name)
    return {"action": step, "id": stored.id, "line": line}


def _read(typed: AimsTyped, now: TreeAims) -> TreeAims:
    from ringwise.futures.aims import SETS, Aims, aim_set
    from ringwise.futures.weighing import TimeWeights

    if typed.set_name not in (*SETS, now.aims.name):
        raise unknown_name(_("set of aims"), typed.set_name, SETS)
    ready = aim_set(typed.set_name) if typed.set_name in SETS else now.aims
    # a range that was not touched keeps its ends to the last digit
    begun = (now.aims, ready) if typed.set_name == now.aims.name else (ready, now.aims)
    wishes = [wish for each in typed.wishes if (wish := _wish(each, begun)) is not None]
    if not wishes:
        raise MissingFieldError(_("aims need at least one measure that counts"))
    parts = {name: _weight(text, f"time.{name}") for name, text in zip(_TIMES, typed.time, strict=True)}
    return TreeAims(Aims(typed.set_name, tuple(wishes), own=True), TimeWeights(**parts), None)


def _wish(typed: WishTyped, begun: tuple[Aims, ...]) -> Wish | None:
    """A wish as typed; None where it counts nothing."""
    from ringwise.futures.aims import AIMED

    name = typed.measure
    if name not in AIMED:
        raise unknown_name(_("measure"), name, AIMED)
    weight = _weight(typed.weight, f"{name}.weight")
    if weight == 0:
        return None
    try:
        for aims in begun:
            held = aims.wish(name)
            shown = None if held is None else (_end(held, held.full_from), _end(held, held.full_to))
            if held is not None and shown == (typed.low.strip(), typed.high.strip()):
                return replace(held, weight=weight)
        low, high = (measure_number(text, name, _("range")) for text in (typed.low, typed.high))
        return ranged_wish(name, weight, low, high)
    except RingwiseError as wrong:
        wrong.field = f"{name}.range"
        raise


def _weight(text: str, field: str) -> float:
    from ringwise.futures.aims import MOST_WEIGHT

    try:
        weight = parse_quantity(text, "fraction", field=_("weight"))
        if not 0 <= weight <= MOST_WEIGHT:
            accepted = _("{low} to {high}").format(low=0, high=show.number(MOST_WEIGHT, 3))
            raise out_of_range(_("weight"), text, accepted)
    except RingwiseError as wrong:
        wrong.field = field
        raise
    return weight
