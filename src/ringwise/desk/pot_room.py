"""The wishes of the pot room: the cut through a tree's pot with its water, and the same pot otherwise."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ringwise.desk.almanac_access import almanac_of
from ringwise.desk.entry_words import entry_title
from ringwise.desk.log_choices import mix_words
from ringwise.desk.own_facts import own_facts
from ringwise.desk.pot_cut import (
    DEPTH_STEP_MM,
    TILT_HIGH_DEG,
    cut_now,
    cut_tried,
    depth_range,
    known_pot,
    pot_note,
)
from ringwise.desk.pot_section import figures_of, section_shape, state_of
from ringwise.desk.pot_soil import Tried, soil_in
from ringwise.desk.shapes import Shape, pot_words
from ringwise.kit.errors import InputError
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown

if TYPE_CHECKING:
    from ringwise.desk.pot_section import Cut
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts

RECENT = 8  # weighings that are shown


def pot_room(workspace: Workspace, name: str) -> Shape:
    """The pot of one tree: its cut with the water by height, what can be tried, the weighings so far.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.

    Returns
    -------
    dict
        As the contract of the app has it; without a section and with a note where none can be drawn.
    """
    facts = own_facts(workspace, name)
    note = pot_note(facts)
    room: Shape = {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "pot": None if facts.pot is None else facts.pot.id,
        "note": note,
        "section": None,
        "range": None,
        "mix": "",
        "mixes": [],
        "pots": [],
        "water": _water(workspace, facts.tree.id),
        "weighings": _weighings(facts),
        "learned": [],
    }
    if note:
        return room
    cut = cut_now(workspace, facts)
    low_mm, high_mm = depth_range(cut.pot)
    return room | {
        "section": section_shape(cut),
        "range": {
            "depth_low_mm": low_mm,
            "depth_high_mm": high_mm,
            "depth_step_mm": DEPTH_STEP_MM,
            "depth_mm": cut.pot.depth_mm,
            "tilt_high_deg": TILT_HIGH_DEG,
        },
        "mix": soil_in(workspace, facts).recipe.code,
        "mixes": _mixes(workspace),
        "pots": _other_pots(workspace, facts),
        "learned": _learned(workspace, facts, cut),
    }


def pot_tried(workspace: Workspace, name: str, tried: Tried, beside: str = "") -> Shape:
    """The pot of a tree with another depth, tilt or mix, and what is held beside it.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    tried : Tried
        What is changed.
    beside : str
        "now" for the pot as it stands, "mix:V" for another mix in the same pot, "pot:P-2" for the same mix in
        another pot; blank for nothing.

    Returns
    -------
    dict
        Keys section and beside.

    Raises
    ------
    InputError
        If what is held beside it does not read.
    """
    facts = own_facts(workspace, name)
    known_pot(facts)
    return {
        "section": section_shape(cut_tried(workspace, facts, tried)),
        "beside": _beside(workspace, facts, tried, beside),
    }


def _beside(workspace: Workspace, facts: TreeFacts, tried: Tried, beside: str) -> Shape | None:
    if not beside:
        return None
    sort, mark, which = beside.partition(":")
    if beside == "now":
        return section_shape(cut_tried(workspace, facts, Tried()))
    if sort == "mix" and which:
        other = Tried(tried.depth_mm, tried.tilt_deg, which)
        return section_shape(cut_tried(workspace, facts, other))
    if sort == "pot" and mark and which:
        other = Tried(None, tried.tilt_deg, tried.mix)
        return section_shape(cut_tried(workspace, facts, other, pot=which))
    raise InputError(
        _('"{text}" cannot be held beside it; write now, mix:CODE or pot:ID').format(text=beside)
    )


def _mixes(workspace: Workspace) -> list[Shape]:
    from ringwise.rootzone.mix import recipe_codes

    codes = dict.fromkeys([*recipe_codes(), *(mix.id for mix in workspace.mixes)])
    return [{"key": code, "words": code, "more": mix_words(workspace, code)} for code in codes]


def _other_pots(workspace: Workspace, facts: TreeFacts) -> list[Shape]:
    own = None if facts.pot is None else facts.pot.id
    pots = [
        pot
        for pot in workspace.pots
        if pot.id != own and pot.shape != "ground" and pot.length_mm is not None and pot.depth_mm is not None
    ]
    pots.sort(key=lambda pot: (pot.tree is not None, pot.id))
    return [{"key": pot.id, "words": pot_words(pot), "more": pot.tree or ""} for pot in pots]


def _water(workspace: Workspace, tree: str) -> list[Shape]:
    """When the pot wants water and how long it lasts, as the almanac has it; nothing before that is made."""
    view = almanac_of(workspace)
    raw = None if view.almanac is None else view.almanac.raw.get(tree)
    held = None if raw is None else raw.get("water")
    if held is None:
        return []
    due, lasts = held
    full = _("Full, it lasts {days}.").format(days=lasts)
    return [{"words": due, "why": f"{tree}:water:due"}, {"words": full, "why": f"{tree}:water:lasts"}]


def _learned(workspace: Workspace, facts: TreeFacts, cut: Cut) -> list[Shape]:
    """What the weighings said of this soil, and how the water of the pot looked before them."""
    from ringwise.desk.pot_curves import pot_curve

    found = pot_curve(workspace, facts)
    if not found.weighed:
        return []
    fresh = replace(cut, curve=found.curve_unweighed)
    before, after = (
        next(each for each in figures_of(state_of(one), "") if each["key"] == "water") for one in (fresh, cut)
    )
    words = _(
        "By its mix and years alone: {before} ({spread}); by what was weighed: {after} ({left})."
    ).format(
        before=before["told"]["shown"],
        spread=before["span"],
        after=after["told"]["shown"],
        left=after["span"],
    )
    lines = [{"words": words, "why": f"{facts.tree.id}:pot:water"}]
    return [*lines, {"words": found.contradicts, "why": None}] if found.contradicts else lines


def _weighings(facts: TreeFacts) -> list[Shape]:
    found = [entry for entry in facts.entries if entry.kind == "weight"]
    return [
        {"entry": entry.id, "words": entry_title(entry), "day_shown": date_shown(entry.on)}
        for entry in reversed(found[-RECENT:])
    ]
