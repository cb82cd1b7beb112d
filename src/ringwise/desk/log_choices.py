"""The wish for what can be logged on a tree: stages with what to look for, works, pots, mixes, scores."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from ringwise.desk.almanac_access import almanac_of
from ringwise.desk.entry_words import operation_words, view_words, weight_moments
from ringwise.desk.own_facts import own_facts
from ringwise.desk.shapes import Shape, pot_words
from ringwise.desk.training_words import training_words, vigour_words
from ringwise.kit import show
from ringwise.kit.days import growing_year
from ringwise.kit.tables import load_rows
from ringwise.kit.words import _, from_data
from ringwise.phenology.stages import CONIFER_GROUPS, HALF_FRAC, codes_of, stage
from ringwise.records.date_shown import date_shown
from ringwise.records.model import PHOTO_VIEWS, STAGES
from ringwise.records.observations import WEIGHT_MOMENTS

if TYPE_CHECKING:
    from ringwise.desk.almanac import AlmanacView, StageTold
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry

_LIKELY = 3  # stages offered first
_CANDLES = "pinus"  # the genus whose shoots come as candles
VIGOURS = range(6)


@lru_cache(maxsize=1)
def _looks() -> dict[tuple[str, str], str]:
    return {(row["code"], row["kind"]): row["look"] for row in load_rows("ringwise.phenology", "stage_looks")}


def _kinds(facts: TreeFacts) -> tuple[str, ...]:
    """Under which kinds the looks of a tree's stages are sought, the closest first."""
    if facts.taxon is None or facts.taxon.group not in CONIFER_GROUPS:
        return ("broadleaf",)
    return ("pine", "conifer") if facts.taxon.genus == _CANDLES else ("conifer",)


def stage_look(facts: TreeFacts, code: str) -> str:
    """What to look for at a stage, in one sentence.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    code : str
        Of the stage.

    Returns
    -------
    str
        In the reader's language.
    """
    looks = _looks()
    return next((from_data(looks[code, kind]) for kind in _kinds(facts) if (code, kind) in looks), "")


def _seen_this_year(workspace: Workspace, facts: TreeFacts) -> dict[str, Entry]:
    seen: dict[str, Entry] = {}
    for each in facts.entries:
        when = each.on.latest
        if each.kind == "stage" and when is not None:
            year = growing_year(when, south=workspace.settings.south)
            if year == workspace.year:
                seen.setdefault(str(each.data["code"]), each)
    return seen


def likely_codes(codes: tuple[str, ...], seen: set[str], reached: str) -> set[str]:
    """The two or three stages that come next.

    Parameters
    ----------
    codes : tuple of str
        All stages of the tree, in order.
    seen : set of str
        Those seen this growing year.
    reached : str
        The last stage that is expected to be reached by today; blank for none.

    Returns
    -------
    set of str
        The codes after the last one seen; where none was seen, from the one that should be reached on.

    Examples
    --------
    >>> sorted(likely_codes(("00", "01", "03", "07", "09"), {"01"}, ""))
    ['03', '07', '09']
    >>> sorted(likely_codes(("00", "01", "03", "07", "09"), set(), "03"))
    ['03', '07', '09']
    """
    known = [codes.index(code) for code in seen if code in codes]
    if known:
        start = max(known) + 1
    else:
        start = codes.index(reached) if reached in codes else 0
    return set(codes[start : start + _LIKELY])


def _stages(workspace: Workspace, facts: TreeFacts, view: AlmanacView) -> list[Shape]:
    group = facts.taxon.group if facts.taxon else ""
    codes = codes_of(group, facts.taxon.leaf_habit if facts.taxon else "")
    told = view.almanac.tree(facts.tree.id) if view.almanac is not None else None
    expected = {each.code: each for each in told.stages} if told is not None else {}
    past = [code for code in codes if code in expected and expected[code].band.median <= workspace.today]
    seen = _seen_this_year(workspace, facts)
    told_or_seen = bool(expected) or bool(seen)  # before the first almanac nobody knows what is likely
    likely = likely_codes(codes, set(seen), past[-1] if past else "") if told_or_seen else set()
    kind = "conifer" if group in CONIFER_GROUPS else "broad"
    return [
        {
            "code": code,
            "words": stage(code).words_for(group),
            "look": stage_look(facts, code),
            "drawing": f"{kind}-{code}",
            "expected": _expected(workspace, expected.get(code)),
            "seen": date_shown(seen[code].on) if code in seen else None,
            "likely": code in likely,
        }
        for code in codes
    ]


def _expected(workspace: Workspace, told: StageTold | None) -> str:
    if told is None:
        return ""
    if told.never_prob >= HALF_FRAC:
        return _("perhaps not this year")
    if told.band.high < workspace.today:  # a day that is past is not expected any more
        return ""
    year = told.band.median.year
    text = show.span(told.band.low, told.band.high)
    return text if year == workspace.today.year else f"{text} {year}"


def _choice(key: str, words: str, more: str = "") -> Shape:
    return {"key": key, "words": words, "more": more}


def _operations() -> list[Shape]:
    from ringwise.operations.registry import OPERATIONS

    rows = [_choice(key, operation_words(key), from_data(work.why)) for key, work in OPERATIONS.items()]
    return sorted(rows, key=lambda row: str(row["words"]).casefold())


def _pots(workspace: Workspace, facts: TreeFacts) -> list[Shape]:
    def order(row: tuple[str | None, str]) -> tuple[int, str]:
        tree, name = row
        return (0 if tree == facts.tree.id else 2 if tree else 1, name)

    pots = sorted(workspace.pots, key=lambda pot: order((pot.tree, pot.id)))
    return [_choice(pot.id, pot_words(pot), pot.tree or _("empty")) for pot in pots]


def mix_words(workspace: Workspace, code: str) -> str:
    """What a mix is made of, in one line; blank for a mix that is not known.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    code : str
        Of a recipe of the trade, or id of an own mix.

    Returns
    -------
    str
        Its name and parts.
    """
    from ringwise.rootzone.components import component_name
    from ringwise.rootzone.mix import recipe, recipe_codes

    own = next((mix for mix in workspace.mixes if mix.id == code), None)
    if own is not None:
        parts, name = own.parts, own.name
    elif code in recipe_codes():
        found = recipe(code)
        parts, name = found.parts, from_data(found.use)
    else:
        return ""
    told = ", ".join(
        _("{n} {component}").format(n=show.number(share), component=component_name(component))
        for component, share in parts
    )
    return f"{name}: {told}" if name else told


def _mixes(workspace: Workspace) -> list[Shape]:
    from ringwise.rootzone.mix import recipe_codes

    codes = dict.fromkeys([*recipe_codes(), *(mix.id for mix in workspace.mixes)])
    return [_choice(code, code, mix_words(workspace, code)) for code in codes]


def _moments() -> list[Shape]:
    more = {
        "drained_level": _("nothing drips any more"),
        "drained_tilted": _("with the tilt in degrees"),
        "after_10_min": _("full and drained"),
        "before_watering": _("as dry as it gets"),
        "pot_empty": _("without tree and soil"),
    }
    words = weight_moments() | {"other": _("another moment")}
    return [_choice(each, words[each], more.get(each, "")) for each in WEIGHT_MOMENTS]


def log_choices(workspace: Workspace, name: str, *, almanac: AlmanacView | None = None) -> Shape:
    """What can be logged on a tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    almanac : AlmanacView, optional
        By default the workspace's own.

    Returns
    -------
    dict
        Keys stages, operations, pots, mixes, views, vigours, moments and training.
    """
    facts = own_facts(workspace, name)
    return {
        "stages": _stages(workspace, facts, almanac or almanac_of(workspace)),
        "operations": _operations(),
        "pots": _pots(workspace, facts),
        "mixes": _mixes(workspace),
        "views": [_choice(view, view_words(view)) for view in PHOTO_VIEWS],
        "vigours": [_choice(str(score), *vigour_words(score)) for score in VIGOURS],
        "moments": _moments(),
        "training": [_choice(each, training_words(each)) for each in STAGES],
    }
