"""Which courses make sense for a tree as it stands, each marked feasible or not, and why."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ringwise.futures.catalogue import AT, course_at, courses_for, ready_course
from ringwise.futures.course import BASE_RING_MM, Course
from ringwise.futures.feasible import ring_notes, second_stem_ratio, unfeasible
from ringwise.futures.rings import Lives, Trunk, ring_number, ring_width_mm
from ringwise.futures.scan import Scan, scan
from ringwise.futures.start import GraftNow, Start
from ringwise.growth.biology import Biology
from ringwise.growth.tries import life_after
from ringwise.kit.show import length
from ringwise.kit.words import _, counted
from ringwise.structure.branching import branches
from ringwise.structure.measured import measured_of

MOST_LAYERS, MOST_CHOPS, MOST_SHOWN = 3, 3, 4
_WEAK_VIGOUR = 2  # at or below it no elective work is offered as such; common practice
_CLEAR_MM = 5.0  # a chop leaves this much above the branch that is to lead on; assumed
_HALF_TURN_H = 6.0
_LOWER = 0.5  # a chop is offered below this share of the height only


@dataclass(frozen=True)
class Offer:
    """A course with whether this tree allows it, why (not), and what else to know."""

    course: Course
    feasible: bool
    why: str
    notes: tuple[str, ...] = ()


def offers(start: Start, life: Biology, found: Scan | None = None) -> tuple[Offer, ...]:
    """The courses that make sense for a tree as it stands.

    Parameters
    ----------
    start : Start
        The tree.
    life : Biology
        Its taxon.
    found : Scan, optional
        The scan of its first table, where it is at hand.

    Returns
    -------
    tuple of Offer
        Leaving it as it is first, then what answers an open question of the tree, then the rest; what
        cannot be done stays in the list with its reason.

    Source
    ------
    practice: base before trunk before graft; heights of layers from the front of the scan.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=400.0, diameter_mm=30.0),), Condition(6.0), 2027)
    >>> [each.course.key for each in offers(start, biology(("morus",)))][:3]
    ['as_it_is', 'repot_gently', 'repot_hard']
    """
    lives = Lives(green=start.conifer, buds=start.buds_seen)
    learned = life_after(life, start.learned)
    known = found if found is not None else scan(measured_of(start.tables[0]), learned, lives)
    out = []
    for course, why in _candidates(start, known):
        against = _too_weak(course, start) or unfeasible(course, start, known.trunk)
        notes = () if against else ring_notes(course, start, known.trunk)
        out.append(Offer(course, not against, against or why, notes))
    return tuple(out)


def shown_first(offered: tuple[Offer, ...]) -> tuple[Course, ...]:
    """The courses that are lived when nobody names any: at most four that can be done.

    Parameters
    ----------
    offered : tuple of Offer
        From `offers`.

    Returns
    -------
    tuple of Course
        Leaving it as it is first; then one of each question before a second of any.

    Source
    ------
    own.

    Examples
    --------
    >>> shown_first(())
    ()
    """
    able = [each.course for each in offered if each.feasible]
    seen: dict[str, int] = {}
    ranked = []
    for place, course in enumerate(able):
        seen[course.question] = seen.get(course.question, -1) + 1
        ranked.append((seen[course.question], place, course))
    return tuple(course for _round, _place, course in sorted(ranked, key=lambda row: row[:2])[:MOST_SHOWN])


def at_heights(
    offered: tuple[Offer, ...], course: Course, *, beside_n: int = 0, open_n: int = 1
) -> tuple[Course, ...]:
    """A course whose height is open, at those heights that the tree offers and that can be done.

    Parameters
    ----------
    offered : tuple of Offer
        From `offers`.
    course : Course
        One that leaves the height open.
    beside_n, open_n : int
        How many courses with and without a height are lived beside one another, this one among them.

    Returns
    -------
    tuple of Course
        Lowest first, spread over what is offered; at least one of them, and no more than leave all within
        the most that are shown.

    Source
    ------
    own.

    Examples
    --------
    >>> at_heights((), ready_course("chop"))
    ()
    """
    name = f"{course.key}{AT}"
    able = [each.course for each in offered if each.feasible and each.course.key.startswith(name)]
    room = max(1, (MOST_SHOWN - beside_n) // open_n)
    if len(able) <= room:
        return tuple(able)
    if room == 1:
        return (able[len(able) // 2],)
    picked = np.linspace(0, len(able) - 1, room).round().astype(int)
    return tuple(able[place] for place in picked.tolist())


def _too_weak(course: Course, start: Start) -> str:
    elective = course.steps and course.question != "weak"
    if elective and start.condition.vigour <= _WEAK_VIGOUR:
        return _("vigour {n} of 5: no elective work before it is steady again").format(
            n=start.condition.vigour
        )
    return ""


def _candidates(start: Start, found: Scan) -> Iterator[tuple[Course, str]]:
    yield ready_course("as_it_is"), _("nothing is closed by waiting; it is what all else is measured against")
    if start.condition.vigour <= _WEAK_VIGOUR:
        yield ready_course("let_rest"), _("vigour {n} of 5").format(n=start.condition.vigour)
    empty = 12 - sum(start.condition.sectors)
    if empty:
        why = counted("{n} root sector of 12 is empty", "{n} root sectors of 12 are empty", empty)
        for course in courses_for("base"):
            if course.key != "accept":
                yield course, why
    if start.graft is not None:
        for course in courses_for("graft"):
            yield _beside(course, start.graft), _("a graft is on the tree and not yet judged")
    if math.isinf(start.condition.volume_l):
        for course in courses_for("lift"):
            yield course, _("it stands in the ground")
    yield from _stems(start)
    yield from _cuts(found)
    if not math.isinf(start.condition.volume_l):
        for course in courses_for("repot"):
            yield course, _repot_why(start)
        if start.aim.height_mm > 0:
            yield ready_course("fine_twigs"), _("its outline is held by cutting back")
        else:
            yield ready_course("to_the_ground"), _("it is still to thicken")
    if not empty and found.trunk.plane.along_mm[-1] > 2 * BASE_RING_MM:
        yield (
            ready_course("ground_layer"),
            _("the base is kept as long as it pleases; a layer would renew it"),
        )


def _beside(course: Course, graft: GraftNow) -> Course:
    """A course of a graft; one that asks for a height is set at the graft's, on the opposite side."""
    if not course.chosen:
        return course
    return course_at(course, float(round(graft.height_mm)), (graft.clock + _HALF_TURN_H) % 12.0 or 12.0)


def _stems(start: Start) -> Iterator[tuple[Course, str]]:
    """What a second leader or a second stem from the foot asks."""
    if second_stem_ratio(start) >= ring_number("least_ratio", "clump"):
        for course in courses_for("clump"):
            yield course, _("two stems come from the foot")
        return
    limbs = branches(measured_of(start.tables[0]), most_order=1)
    rivals = [limb for limb in limbs if limb.base_diameter_mm >= _rival() * limb.trunk_mm]
    for limb in rivals[-1:]:  # the highest: lower ones are branches that grew too thick
        why = _("a side leader leaves at {height}").format(height=length(limb.height_mm))
        height_mm, clock_h = float(round(limb.height_mm)), float(round(limb.clock)) or 12.0
        yield course_at(ready_course("keep_main_leader"), height_mm, clock_h), why
        above_mm = float(round(limb.height_mm + _CLEAR_MM + limb.base_diameter_mm / 2.0))
        yield course_at(ready_course("keep_side_leader"), above_mm), why
        yield ready_course("keep_both_leaders"), why


def _rival() -> float:
    return ring_number("least_ratio", "leader")


def _repot_why(start: Start) -> str:
    years = round(start.condition.since_repot_years)
    return counted("{n} year since the last repot", "{n} years since the last repot", years)


def _cuts(found: Scan) -> Iterator[tuple[Course, str]]:
    for height_mm, why in layer_heights(found):
        yield course_at(ready_course("air_layer"), height_mm), why
    for height_mm, why in chop_heights(found.trunk):
        yield course_at(ready_course("chop"), height_mm), why
    for height_mm, why in ring_then_chop_heights(found):
        yield course_at(ready_course("layer_then_chop"), height_mm), why


def layer_heights(found: Scan) -> tuple[tuple[float, str], ...]:
    """A few heights for a layer, spread over the front of the scan.

    Parameters
    ----------
    found : Scan
        Of the trunk.

    Returns
    -------
    tuple of (float, str)
        Heights above the soil in whole mm, lowest first, with what each would part.

    Source
    ------
    own.

    Examples
    --------
    >>> MOST_LAYERS
    3
    """
    front = np.nonzero(found.front)[0]
    if len(front) == 0:
        return ()
    picked = front[np.unique(np.linspace(0, len(front) - 1, MOST_LAYERS).round().astype(int))]
    out = []
    for place in picked.tolist():
        above, below = int(found.above.tips_n[place]), int(found.below.tips_n[place])
        why = _("tips of the top: {top}, of the stump: {stump}").format(top=above, stump=below)
        out.append((float(round(found.height_mm[place])), why))
    return tuple(out)


def chop_heights(trunk: Trunk) -> tuple[tuple[float, str], ...]:
    """A few heights for a chop: just above a branch that can lead on, in the lower half of the trunk.

    Parameters
    ----------
    trunk : Trunk
        Of the tree.

    Returns
    -------
    tuple of (float, str)
        Heights above the soil in whole mm, lowest first, with the branch that leads on.

    Source
    ------
    practice: a chop is made to a branch or bud that becomes the new leader, low enough for taper.

    Examples
    --------
    >>> from ringwise.futures.rings import trunk_of
    >>> from ringwise.structure.table import single_segment
    >>> chop_heights(trunk_of(measured_of(single_segment(length_mm=400.0, diameter_mm=30.0))))
    ()
    """
    z = trunk.plane.place_mm[:, 2]
    out = []
    for node, height_mm in _above_leaders(trunk):
        if height_mm < z.max():
            out.append((float(round(height_mm)), _to_the_branch(float(z[node]))))
    return tuple(out)


def ring_then_chop_heights(found: Scan) -> tuple[tuple[float, str], ...]:
    """A few heights for a ring, and for the chop if it fails: the next place above a leader that bears one.

    Parameters
    ----------
    found : Scan
        Of the trunk.

    Returns
    -------
    tuple of (float, str)
        Heights above the soil in whole mm, lowest first, each with the highest branch below it. Where none
        bears a ring, the place just above the lowest leader, which is then told to be not feasible.

    Source
    ------
    own; what bears a ring as in `rings_at`.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=400.0, diameter_mm=30.0))
    >>> ring_then_chop_heights(scan(stem, biology(("morus",))))
    ()
    """
    trunk, by_leader_mm = found.trunk, dict[float, float]()
    z, wide_mm = trunk.plane.place_mm[:, 2], ring_width_mm(trunk.plane.diameter_mm)[0]
    leaders = [(node, height_mm + float(wide_mm[node])) for node, height_mm in _above_leaders(trunk)]
    bears = found.rings.feasible & (found.height_mm < z.max())
    for _node, least_mm in leaders:
        for place in np.nonzero(bears & (found.height_mm >= least_mm))[0][:1].tolist():
            by_leader_mm.setdefault(float(found.leader_mm[place]), float(found.height_mm[place]))
    pairs = [(high, leader) for leader, high in by_leader_mm.items()]
    pairs = pairs or [(high, float(z[node])) for node, high in leaders[:1]]
    return tuple((float(round(high)), _to_the_branch(leader)) for high, leader in pairs)


def _above_leaders(trunk: Trunk) -> list[tuple[int, float]]:
    """Nodes of the lowest branches that can lead on, and the height of a cut just above each."""
    z = trunk.plane.place_mm[:, 2]
    nodes = np.nonzero((np.diff(trunk.branches_below) > 0) & (z < _LOWER * z.max()) & (z > 0.0))[0]
    cut_mm = z + trunk.plane.diameter_mm / 4.0 + _CLEAR_MM
    return [(node, float(cut_mm[node])) for node in nodes[:MOST_CHOPS].tolist()]


def _to_the_branch(height_mm: float) -> str:
    return _("to the branch at {height}").format(height=length(height_mm))
