"""What the Shape room says of a tree: measures and branches with spreads, what is measured, what is not."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from ringwise.desk.measure_words import clock_words, span_words
from ringwise.desk.shapes import Shape
from ringwise.desk.told import told
from ringwise.kit import show
from ringwise.kit.types import IntArray
from ringwise.kit.words import _
from ringwise.structure.branching import Branch, branches
from ringwise.structure.cut_plane import girth_sds_mm
from ringwise.structure.measured import How, MeasuredTree
from ringwise.structure.table import sum_to_root

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringwise.desk.measure_sheet import Sheet
    from ringwise.desk.shape_tree import State
    from ringwise.structure.cut_plane import CutPlane

    NamesWhy = Callable[[str], str | None]  # the name of a figure's why

PROFILE_STEPS = 16
SEEN = (How.TAPE, How.CALLIPER, How.TRACED, How.IMAGE, How.IMPORTED)  # thicknesses that were measured


def unnamed(figure: str) -> None:
    """No why for any figure: what is only read, not shown."""


def measures_told(sheet: Sheet, why: NamesWhy = unnamed) -> list[Shape]:
    """The measures of a tree in the order in which they are read.

    Parameters
    ----------
    sheet : Sheet
        Of a tree.
    why : callable
        Names the why of a figure.

    Returns
    -------
    list of dict
        Keys key, label, told and span (one in ten to nine in ten; blank where nobody can say).
    """
    m = sheet.found
    first = m.first_branch_frac
    rows = [
        ("height_mm", _("height"), m.height_mm, show.length),
        ("base_girth_mm", _("girth at the base"), m.base_girth_mm, show.length),
        ("base_diameter_mm", _("trunk at the base"), m.base_diameter_mm, show.length),
        ("spread_mm", _("crown spread"), m.spread_mm, show.length),
        ("spread_front_mm", _("width from the front"), m.spread_front_mm, show.length),
        ("height_to_base_ratio", _("height for one of trunk"), m.height_to_base_ratio, _ratio),
        ("taper_ratio", _("trunk at half height, of its base"), m.taper_ratio, show.percent),
        ("first_branch_frac", _("first branch, of the height"), first, show.percent),
        ("movement_frac", _("movement of the trunk, of the height"), m.movement_frac, show.percent),
        ("tips", _("tips"), float(m.tips), _count),
        ("strahler", _("orders of branching"), float(m.strahler), _count),
        ("wood_cm3", _("wood"), m.wood_cm3, _volume),
    ]
    return [
        {
            "key": key,
            "label": label,
            "told": told(value, shown(value), why(key)),
            "span": span_words(value, sheet.sd.get(key), shown),
        }
        for key, label, value, shown in rows
        if value is not None
    ]


def _ratio(value: float) -> str:
    return show.number(value, 2)


def _count(value: float) -> str:
    return show.fixed(value, 0)


def _volume(value_cm3: float) -> str:
    return show.litres(value_cm3)


def branches_told(
    measured: MeasuredTree, plane: CutPlane, why: NamesWhy = unnamed
) -> tuple[list[Shape], IntArray]:
    """The branches of the trunk from the lowest up, and for each segment the branch it belongs to.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    plane : CutPlane
        Of the same tree.
    why : callable
        Names the why of a figure.

    Returns
    -------
    branches : list of dict
        One a branch.
    branch_of : (n,) int
        Its place in the list; -1 for the trunk and its small shoots.
    """
    table = measured.table
    found = branches(measured, most_order=1)
    start = np.zeros(table.n)
    start[[branch.row for branch in found]] = np.arange(1, len(found) + 1)
    branch_of = np.rint(sum_to_root(table.parent, start)).astype(np.int64) - 1
    told_of = [_branch(measured, plane, each, number, why) for number, each in enumerate(found, start=1)]
    return told_of, branch_of


def _branch(measured: MeasuredTree, plane: CutPlane, branch: Branch, number: int, why: NamesWhy) -> Shape:
    diameter = branch.base_diameter_mm
    head = f"branch_{number}"
    return {
        "number": number,
        "row": branch.row,
        "along_mm": round(float(plane.along_mm[plane.node[branch.row]]), 2),
        "height": told(branch.height_mm, show.length(branch.height_mm), why(f"{head}_height")),
        "clock": told(
            branch.clock, _("{clock} o'clock").format(clock=clock_words(branch.clock)), why(f"{head}_clock")
        ),
        "angle": told(
            branch.angle_deg, _("{n}°").format(n=show.number(branch.angle_deg, 2)), why(f"{head}_angle")
        ),
        "diameter": told(diameter, show.length(diameter), why(f"{head}_diameter")),
        "diameter_span": span_words(diameter, branch.base_diameter_sd_mm, show.length),
        "length": told(branch.length_mm, show.length(branch.length_mm), why(f"{head}_length")),
        "length_span": span_words(branch.length_mm, branch.length_sd_mm, show.length),
        "tips": branch.tips,
        "part": told(branch.tips_frac, show.percent(branch.tips_frac), why(f"{head}_part")),
        "how": how_words(How(int(measured.how[branch.row]))),
    }


def how_words(how: How) -> str:
    """What a thickness rests on, in the reader's language.

    Parameters
    ----------
    how : How
        As the measured tree has it.

    Returns
    -------
    str
        A few words.

    Examples
    --------
    >>> how_words(How.TAPE)
    'measured by tape'
    """
    return {
        How.ASSUMED: _("assumed"),
        How.PIPE: _("estimated from its tips"),
        How.TAPE: _("measured by tape"),
        How.CALLIPER: _("measured by calliper"),
        How.TRACED: _("traced"),
        How.OVERLAPPED: _("traced, where wood overlaps"),
        How.IMAGE: _("measured in photos"),
        How.FILLED: _("filled in between"),
        How.IMPORTED: _("taken from a file"),
        How.GROWN: _("grown on by the model"),
    }[how]


def profile_told(measured: MeasuredTree, plane: CutPlane, why: NamesWhy = unnamed) -> list[Shape]:
    """The trunk by height: thickness and girth, as a tape would read it, at even steps.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    plane : CutPlane
        Of the same tree.
    why : callable
        Names the why of a figure.

    Returns
    -------
    list of dict
        From the soil up.
    """
    ways = np.linspace(0.0, plane.along_mm[-1], PROFILE_STEPS + 1)
    return [trunk_told(measured, plane, float(way), why)[0] for way in ways]


def trunk_told(
    measured: MeasuredTree, plane: CutPlane, way_mm: float, why: NamesWhy = unnamed
) -> tuple[Shape, int]:
    """The trunk at a way along it from the soil.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    plane : CutPlane
        Of the same tree.
    way_mm : float
        Along the trunk.
    why : callable
        Names the why of a figure.

    Returns
    -------
    told : dict
        Keys height, diameter, girth, span (of the girth) and how.
    row : int
        The segment that it lies on.
    """
    node = int(np.searchsorted(plane.along_mm, way_mm, side="right")) - 1
    row = int(plane.trunk_rows[min(node, len(plane.trunk_rows) - 1)])
    height, diameter, girth, girth_sd = (
        float(np.interp(way_mm, plane.along_mm, each))
        for each in (plane.place_mm[:, 2], plane.diameter_mm, plane.girth_mm, girth_sds_mm(measured, plane))
    )
    head = f"along_{math.floor(way_mm * 100.0) / 100.0:.2f}"  # not beyond the tip
    return {
        "height": told(round(height, 2), show.length(height), why(f"{head}_height")),
        "diameter": told(round(diameter, 2), show.length(diameter), why(f"{head}_diameter")),
        "girth": told(round(girth, 2), show.length(girth), why(f"{head}_girth")),
        "span": span_words(girth, girth_sd, show.length),
        "how": how_words(How(int(measured.how[row]))),
    }, row


def standing_on(measured: MeasuredTree, state: State) -> tuple[list[str], list[str]]:
    """What was measured of a tree, and what was assumed or estimated, in sentences.

    Parameters
    ----------
    measured : MeasuredTree
        The tree.
    state : State
        Where it comes from.

    Returns
    -------
    tuple of two lists of str
        Measured; assumed.
    """
    length = measured.table.length_mm.astype(np.float64)
    whole = float(length.sum())
    known: list[str] = []
    assumed: list[str] = []
    for how in How:
        part = float(length[measured.how == how].sum()) / whole
        if part <= 0:
            continue
        line = _("{share} of the wood by length: thickness {how}").format(
            share=show.percent(part) if part >= 0.01 else _("less than 1%"), how=how_words(how)
        )
        (known if how in SEEN else assumed).append(line)
    if state.source == "basics":
        assumed.insert(0, _("Only trunk and height are known; all branches are invented by common practice."))
    elif state.source == "tape":
        assumed.insert(0, _("Every fork and twig beyond what the tape touched is reckoned."))
    return known, assumed
