"""Whether a course can be done on a tree at all, said in one line before anything is lived or stored."""

from __future__ import annotations

import math

import numpy as np

from ringwise.futures.course import CHOSEN, Course, Step
from ringwise.futures.rings import Lives, Trunk, ring_number, rings_at, trunk_of, why_words
from ringwise.futures.start import Start
from ringwise.growth.biology import Biology
from ringwise.kit.errors import NotReadyError
from ringwise.kit.show import length
from ringwise.kit.words import _
from ringwise.structure.measured import measured_of

LAYERS = ("air_layer", "ground_layer")
_CUTS = ("chop", "prune")
_SETS = ("approach_graft", "thread_graft")
_ON_GRAFTS = ("sever_graft", "abandon_graft", "notch_graft")


def check_feasible(course: Course, start: Start, life: Biology) -> None:
    """Refuse a course that cannot be done on this tree, in one line.

    Parameters
    ----------
    course : Course
        The course.
    start : Start
        The tree.
    life : Biology
        Its taxon.

    Raises
    ------
    NotReadyError
        For a ring where none can be set, a cut that does not meet the tree, a height still to be chosen,
        the separation of a layer that was never set, graft steps without a graft site, lifting from a pot.

    Source
    ------
    practice: see `rings_at`; a ring above a pending graft waits or needs a reason.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=400.0, diameter_mm=30.0)
    >>> start = Start((stem,), Condition(6.0), 2027)
    >>> check_feasible(Course("accept", "Accept", ""), start, biology(("morus",)))
    """
    why = unfeasible(course, start)
    if why:
        raise NotReadyError(why, where=course.key)


def unfeasible(course: Course, start: Start, trunk: Trunk | None = None) -> str:
    """Why a course cannot be done on this tree.

    Parameters
    ----------
    course : Course
        The course.
    start : Start
        The tree.
    trunk : Trunk, optional
        Of its first table, where it is known already.

    Returns
    -------
    str
        One line; empty where it can be done.

    Source
    ------
    practice: as `check_feasible`.

    Examples
    --------
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=400.0, diameter_mm=30.0)
    >>> layer = Course("layer", "", "", (Step(0, "summer", "air_layer", "20 cm"),))
    >>> unfeasible(layer, Start((stem,), Condition(6.0), 2027))[:35]
    'a layer at 20 cm leaves no live bra'
    """
    rings = [step for step in course.steps if step.operation in LAYERS]
    if rings and trunk is None and not course.chosen:
        trunk = trunk_of(measured_of(start.tables[0]))
    for step in course.steps:
        why = _step_why(step, course, start, trunk)
        if why:
            return why
    return ""


def _step_why(step: Step, course: Course, start: Start, trunk: Trunk | None) -> str:
    operation = step.operation
    if step.site == CHOSEN:
        text = _("its height is still to be chosen, such as {key}@22cm")
        return text.format(key=course.key)
    if _parts_again(step, course):
        return _("an earlier step parts the tree already; a course parts it once")
    if operation in LAYERS and trunk is not None:
        return _ring_why(step, course, start, trunk)
    if operation in _CUTS and step.clock_h < 0 and not 0 < step.height_mm < _top_mm(start):
        return _("a cut at {height} does not meet the tree").format(height=length(step.height_mm))
    if operation == "separate_layer" and not _earlier(step, course, LAYERS):
        return _("it separates a layer that no earlier step sets")
    known = start.graft is not None or _earlier(step, course, _SETS)
    placed = start.graft is not None or 0 < step.height_mm < _top_mm(start)
    if (operation in _SETS and not placed) or (operation in _ON_GRAFTS and not known):
        return _("this tree has no graft site on record; log one first")
    if operation == "split_clump" and second_stem_ratio(start) <= 0.0:
        return _("one stem only comes from the foot; there is nothing to part")
    grounded = math.isinf(start.condition.volume_l) or _earlier(step, course, ("field_plant",))
    if operation == "lift" and not grounded:
        return _("the tree stands in a pot; only a tree in the ground can be lifted")
    if operation == "root_prune_in_ground" and not grounded:
        return _("the tree stands in a pot; only the roots of a tree in the ground are cut so")
    return ""


def _parts_again(step: Step, course: Course) -> bool:
    """Whether it sets a ring or splits a clump after the tree was parted, come what may; a second try may."""
    again = step.operation in (*LAYERS, "split_clump") and step.condition == "always" and not step.check
    return again and _earlier(step, course, ("separate_layer", "split_clump"))


def _earlier(step: Step, course: Course, operations: tuple[str, ...]) -> bool:
    """Whether one of these operations comes before a step; steps stand in the order of time."""
    for each in course.steps:
        if each is step:
            return False
        if each.operation in operations:
            return True
    return False


def second_stem_ratio(start: Start) -> float:
    """How thick the second stem of a clump is against the first at the foot; 0 where there is one only.

    Parameters
    ----------
    start : Start
        The tree.

    Returns
    -------
    float
        Of the thickest stem beside the trunk that starts at its foot.

    Source
    ------
    practice: what starts within the lowest tenth or so of the height counts as a stem (table `rings`).

    Examples
    --------
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> second_stem_ratio(Start((single_segment(length_mm=400.0, diameter_mm=30.0),), Condition(6.0), 2027))
    0.0
    """
    table = start.tables[0]
    if table.n < 2:
        return 0.0
    parent = table.parent[1:].astype(np.int64)
    low = table.end_mm[parent, 2] <= ring_number("low_share", "clump") * _top_mm(start)
    stems = low & (table.order[1:] == 1) & (table.order[parent] == 0)
    if not stems.any():
        return 0.0
    return float(table.diameter_mm[1:][stems].max() / table.diameter_mm[0])


def _top_mm(start: Start) -> float:
    return float(start.tables[0].end_mm[:, 2].max())


def _ring_why(step: Step, course: Course, start: Start, trunk: Trunk) -> str:
    base = step.operation == "ground_layer"
    lives = Lives(green=start.conifer, buds=start.buds_seen, spared=base)
    rings = rings_at(trunk, np.array([trunk.at(step.height_mm)]), lives)
    why = why_words(int(rings.why[0]), step.height_mm)
    if why or start.graft is None:
        return why
    upper_mm, graft_mm = float(rings.upper_mm[0]), trunk.at(start.graft.height_mm)
    if float(rings.lower_mm[0]) < graft_mm < upper_mm:
        return _("a ring at {height} would lie on the graft site").format(height=length(step.height_mm))
    if graft_mm <= upper_mm and not course.reason:
        text = _(
            "the graft at {graft} below a ring at {height} is pending: wait until it is judged, "
            "or write a reason"
        )
        return text.format(graft=length(start.graft.height_mm), height=length(step.height_mm))
    return ""


def ring_notes(course: Course, start: Start, trunk: Trunk | None = None) -> tuple[str, ...]:
    """What a course with a layer must tell: which half keeps the graft, which clone each half is.

    Parameters
    ----------
    course : Course
        Any course.
    start : Start
        The tree.
    trunk : Trunk, optional
        Of its first table, where it is known already.

    Returns
    -------
    tuple of str
        Lines; none where it sets no ring or there is nothing to tell.

    Source
    ------
    practice: on a grafted tree the top gains roots of its own kind and loses its stock.

    Examples
    --------
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=400.0, diameter_mm=30.0)
    >>> ring_notes(Course("accept", "", ""), Start((stem,), Condition(6.0), 2027))
    ()
    """
    rings = [step for step in course.steps if step.operation in LAYERS and step.site != CHOSEN]
    if not rings:
        return ()
    if trunk is None:
        trunk = trunk_of(measured_of(start.tables[0]))
    out: list[str] = []
    upper_mm = trunk.at(rings[0].height_mm)
    if start.graft is not None:
        above = trunk.at(start.graft.height_mm) > upper_mm
        out.append(
            _("the graft is on the top: its donor moves with the top when the layer is separated")
            if above
            else _("the graft stays on the stump with its donor; the top goes without it")
        )
    place = int(np.clip(np.searchsorted(trunk.plane.along_mm, upper_mm) - 1, 0, len(trunk.clone) - 1))
    if len(trunk.clone) and trunk.clone[place] != trunk.clone[0]:
        out.append(
            _("the ring lies above the graft line: the top gets its own roots, the stump is the stock")
        )
    return tuple(out)
