"""The wish for the cutting-plane scan: what each height of a tree would give, from the record to rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk.own_tries import learned_of
from ringwise.desk.shapes import Shape
from ringwise.desk.structures import structure_of
from ringwise.kit import show
from ringwise.kit.words import _, counted
from ringwise.records.taxa import lookup_keys

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.scan import Scan, Side

_CONIFERS = frozenset({"G5", "G6"})
_LEAST_BRANCH_MM = 60.0  # a shorter branch is a cutting, no tree; assumed


@dataclass(frozen=True)
class CutsAnswer:
    """The documented keys, and lines that head and foot the terminal's table."""

    data: Shape
    heading: str
    notes: tuple[str, ...]


def cuts_answer(workspace: Workspace, tree: str, *, branch: bool = False) -> CutsAnswer:
    """What every height along the trunk would give if it were layered or cut there now.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    branch : bool
        Also along each main branch.

    Returns
    -------
    CutsAnswer
        One row a place.

    Raises
    ------
    MissingFieldError
        If neither a structure nor trunk and height are known.
    """
    from ringwise.futures.rings import Lives
    from ringwise.futures.scan import FRONT_MEASURES, scan
    from ringwise.growth.biology import biology
    from ringwise.growth.tries import life_after
    from ringwise.structure.branching import branches
    from ringwise.structure.measured import split_off

    facts = workspace.facts_of(tree)
    measured = structure_of(workspace, facts)
    life = life_after(biology(lookup_keys(facts.tree.species)), learned_of(workspace, facts))
    conifer = facts.taxon is not None and facts.taxon.group in _CONIFERS
    found = scan(measured, life, Lives(green=conifer))
    limbs = []
    for limb in branches(measured, most_order=1) if branch else ():
        if limb.length_mm >= _LEAST_BRANCH_MM:
            part = split_off(measured, limb.row).part
            side = scan(part, life, Lives(spared=True))
            limbs.append({"height_mm": limb.height_mm, "clock": limb.clock, "places": _places(side)})
    data: Shape = {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "basis": measured.table.basis,
        "layer_class": life.layer_class,
        "front_measures": list(FRONT_MEASURES),
        "places": _places(found),
        "branches": limbs,
    }
    text = _("{tree} {name}: what a layer or a cut at each height would give now")
    return CutsAnswer(data, text.format(tree=facts.tree.id, name=facts.tree.name), _notes(found))


def _notes(found: Scan) -> tuple[str, ...]:
    from ringwise.futures.rings import why_words

    out = []
    rings = found.rings
    for why in sorted(set(rings.why.tolist()) - {0}):
        heights = found.height_mm[rings.why == why]
        lowest, highest = float(heights.min()), float(heights.max())
        first = why_words(int(why), lowest)
        places = counted("{n} place", "{n} places", len(heights))
        span = show.length_span(lowest, highest)
        out.append(_("no ring at {places} from {span}: {why}").format(places=places, span=span, why=first))
    out.append(
        _(
            "the heights shown are beaten by no other in proportion of top and stump, tips of the smaller "
            "side and chance of roots; which of them is right is for the grower to say"
        )
    )
    return tuple(out)


def _places(found: Scan) -> list[Shape]:
    from ringwise.futures.rings import why_words

    above, below = _sides(found.above), _sides(found.below)
    rings = found.rings
    out: list[Shape] = []
    for n in range(len(found.along_mm)):
        height_mm = float(found.height_mm[n])
        out.append(
            {
                "height_mm": round(height_mm, 1),
                "along_mm": round(float(found.along_mm[n]), 1),
                "front": bool(found.front[n]),
                "feasible": bool(rings.feasible[n]),
                "why": why_words(int(rings.why[n]), height_mm),
                "above": above[n],
                "below": below[n],
                "rooting_low_prob": round(float(found.rooting_low_prob[n]), 3),
                "rooting_prob": round(float(found.rooting_prob[n]), 3),
                "rooting_high_prob": round(float(found.rooting_high_prob[n]), 3),
                "wood_mm": round(float(rings.diameter_mm[n]), 1),
                "ring_least_mm": round(float(rings.least_mm[n]), 1),
                "ring_most_mm": round(float(rings.most_mm[n]), 1),
                "stump_height_mm": round(max(0.0, height_mm - float(rings.least_mm[n])), 1),
                "lost_branches_n": int(found.lost_branches_n[n]),
                "stump": _stump(found, n),
            }
        )
    return out


def _stump(found: Scan, n: int) -> Shape:
    live, leader_mm = int(found.live_branches_n[n]), float(found.leader_mm[n])
    leaf_cm2 = float(found.stump_leaf_cm2[n])
    if live:
        words = _("{branches}; the highest can lead on, from {height}").format(
            branches=counted("{n} live branch", "{n} live branches", live), height=show.length(leader_mm)
        )
    elif leaf_cm2 > 0:
        words = _("twigs only; a new head would start from them")
    else:
        words = _("bare wood; nothing is known to live on it")
    return {
        "live_branches_n": live,
        "leader_height_mm": None if leader_mm != leader_mm else round(leader_mm, 1),
        "leaf_cm2": round(leaf_cm2, 1),
        "words": words,
    }


def _sides(side: Side) -> list[Shape]:
    def rounded(value: float, places: int) -> float | None:
        return None if value != value else round(float(value), places)

    return [
        {
            "height_mm": rounded(side.height_mm[n], 1),
            "base_girth_mm": rounded(side.base_girth_mm[n], 1),
            "height_to_base_ratio": rounded(side.height_to_base_ratio[n], 2),
            "taper_ratio": rounded(side.taper_ratio[n], 3),
            "branches_n": int(side.branches_n[n]),
            "tips_n": int(side.tips_n[n]),
            "size": term,
        }
        for n, term in enumerate(side.sizes)
    ]
