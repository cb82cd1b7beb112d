"""What each figure of a measured tree is: its words, its formula, and what of the tree it was read from."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ringwise.desk.measure_words import span_words
from ringwise.desk.shape_told import SEEN, branches_told, measures_told, trunk_told
from ringwise.kit import show
from ringwise.kit.errors import NotFoundError, out_of_range, unknown_name
from ringwise.kit.words import _
from ringwise.structure.measured import How

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwise.desk.measure_sheet import Sheet

_AT = re.compile(r"girth_at_(\d+(?:\.\d+)?)")
_ALONG = re.compile(r"along_(\d+(?:\.\d+)?)_(height|diameter|girth)")
_BRANCH = re.compile(r"branch_(\d+)_(height|clock|angle|diameter|length|tips|part)")
FAMILIES = (
    "nebari_girth_mm",
    "girth_at_90",
    "along_90_girth",
    "branch_1_diameter",
)  # an example of each, as a hint
MEASURES, BRANCHES = "structure.measures", "structure.branching"
_MM2_PER_CM2, _MM2_PER_DM2 = 100.0, 10_000.0  # exact


@dataclass(frozen=True)
class Made:
    """How a figure is made: its formula, where that is from, the figures it is made of.

    `of_lines` where it is read of the way that all wood takes, which a tape does not know.
    """

    formula: str
    source: str = "own"
    below: tuple[str, ...] = ()
    of_lines: bool = False


@dataclass(frozen=True)
class Figure:
    """A figure as it is shown and how it is made.

    `row` is the segment whose thickness it is, None for none; `seen` says whether it was read of the tree
    itself rather than of wood that is reckoned, `drawn` whether its span is that of the whole tree's draws
    rather than of one reading.
    """

    label: str
    shown: str
    span: str
    made: Made
    seen: bool
    room: str = MEASURES
    row: int | None = None
    drawn: bool = False

    @property
    def value(self) -> str:
        """The figure with its span."""
        return f"{self.shown} ({self.span})" if self.span else self.shown


def figure_of(sheet: Sheet, name: str, also: Sequence[str] = ()) -> Figure:
    """A figure of a measured tree by its name.

    Parameters
    ----------
    sheet : Sheet
        Of the tree.
    name : str
        A key such as "height_mm", "girth_at_90" (mm above the soil), "along_120_diameter" (mm along the
        trunk) or "branch_3_length" (the third branch of the trunk from below).
    also : sequence of str
        Names that are known elsewhere, to be offered where this one is not.

    Returns
    -------
    Figure
        With its formula.

    Raises
    ------
    UnknownNameError
        If there is no such figure.
    NotFoundError
        If this tree has none of it.
    RangeError
        If a height lies above the tree.
    """
    if at := _AT.fullmatch(name):
        return _girth_at(sheet, float(at[1]))
    if along := _ALONG.fullmatch(name):
        return _along(sheet, float(along[1]), along[2])
    if branch := _BRANCH.fullmatch(name):
        return _branch(sheet, int(branch[1]), branch[2])
    sizes, fine = _sizes_made(), _fine_made()
    if name == "nebari_girth_mm":
        return _girth_at(sheet, 0.0)
    if name in sizes:
        found = _size(sheet, name, sizes[name])
    elif name in fine:
        found = _fine(sheet, name, fine[name])
    else:
        raise unknown_name(_("figure"), name, [*sizes, *fine, *FAMILIES, *also])
    if found is None:
        raise NotFoundError(_("nothing of this tree is known for: {figure}").format(figure=name))
    return found


def _sizes_made() -> dict[str, Made]:
    height, base, half = "height_mm", "base_diameter_mm", "half_height_diameter_mm"
    return {
        height: Made(_("highest end of wood above the soil")),
        "spread_mm": Made(
            _("widest level distance between ends of wood, over all directions"), of_lines=True
        ),
        "spread_front_mm": Made(
            _("from the leftmost to the rightmost end of wood, seen from the front"), of_lines=True
        ),
        base: Made(_("thickness of the trunk above its flare"), "practice"),
        "base_girth_mm": Made(_("pi x trunk; taken as round"), below=(base,)),
        half: Made(_("thickness of the trunk at half the height"), below=(height,)),
        "height_to_base_ratio": Made(_("height / trunk at the base"), below=(height, base)),
        "taper_ratio": Made(_("trunk at half height / trunk at the base"), below=(half, base)),
        "first_branch_frac": Made(
            _("height at which the lowest branch leaves the trunk / height"),
            below=("branch_1_height", height),
        ),
        "movement_frac": Made(
            _("largest distance of the trunk from the straight line between its ends / height"),
            below=(height,),
            of_lines=True,
        ),
        "tips": Made(_("ends of wood from which none goes on"), of_lines=True),
        "strahler": Made(
            _("a tip is 1; where two of the same order meet, one more; read at the foot"),
            "strahler1957",
            of_lines=True,
        ),
        "wood_cm3": Made(_("sum over all segments, each a cone cut off at both ends"), of_lines=True),
    }


def _fine_made() -> dict[str, Made]:
    front = _("seen from the front, gaps between branches filled row by row")
    return {
        "total_length_mm": Made(_("sum of the lengths of all segments")),
        "bifurcation_ratio": Made(
            _("mean factor from the count of one order of branching to that of the next"), "horton1945"
        ),
        "internode_mm": Made(_("middle of the ways from the last fork to the tip")),
        "tips_per_dm2": Made(_("tips / area of the outline"), below=("tips", "crown_area_cm2")),
        "crown_width_mm": Made(
            _("from the leftmost to the rightmost place of the outline, seen from the front")
        ),
        "crown_area_cm2": Made(front),
        "crown_wood_frac": Made(
            _("wood seen from the front / area of the outline"), below=("crown_area_cm2",)
        ),
    }


def _size(sheet: Sheet, name: str, made: Made) -> Figure | None:
    from ringwise.structure.measures import base_row

    m = sheet.found
    if name == "half_height_diameter_mm":
        shown = show.length(m.half_height_diameter_mm)
        span = span_words(m.half_height_diameter_mm, sheet.sd.get(name), show.length)
        half = trunk_row_at(sheet, m.height_mm / 2.0)
        return Figure(
            _("trunk at half height"), shown, span, made, _is_seen(sheet, half), row=half, drawn=True
        )
    told = next((each for each in measures_told(sheet) if each["key"] == name), None)
    if told is None:
        return None
    row = base_row(sheet.measured.table) if name == "base_diameter_mm" else None
    seen = sheet.lines_seen or not made.of_lines
    if row is not None:
        seen = _is_seen(sheet, row)
    return Figure(told["label"], told["told"]["shown"], told["span"], made, seen, row=row, drawn=True)


def _fine(sheet: Sheet, name: str, made: Made) -> Figure | None:
    """How finely a tree is branched, and its crown from the front; nobody can say their spread."""
    from ringwise.structure.branching import ramification
    from ringwise.structure.crown_side import crown_side

    table = sheet.measured.table
    fine, side = ramification(table), crown_side(table)
    per_dm2 = fine.tips / (side.area_mm2 / _MM2_PER_DM2)
    area_cm2 = show.number(side.area_mm2 / _MM2_PER_CM2, 3)
    factor = fine.bifurcation_ratio
    told = {
        "total_length_mm": (_("length of all wood"), show.length(fine.total_length_mm)),
        "bifurcation_ratio": (
            _("each order against the next"),
            "" if factor is None else show.number(factor, 2),
        ),
        "internode_mm": (
            _("last shoots"),
            "" if fine.internode_mm is None else show.length(fine.internode_mm),
        ),
        "tips_per_dm2": (_("tips on a square decimetre of the outline"), show.number(per_dm2, 2)),
        "crown_width_mm": (_("width of the crown from the front"), show.length(side.width_mm)),
        "crown_area_cm2": (_("outline of the crown from the front"), _("{n} cm²").format(n=area_cm2)),
        "crown_wood_frac": (_("wood in the outline"), show.percent(side.wood_frac)),
    }
    label, shown = told[name]
    return Figure(label, shown, "", made, sheet.lines_seen, BRANCHES) if shown else None


def _girth_at(sheet: Sheet, height_mm: float) -> Figure:
    from ringwise.structure.trunk_profile import girth_at

    top_mm = sheet.found.height_mm
    if height_mm > top_mm:
        raise out_of_range(
            _("height"), show.length(height_mm), _("0 to {height}").format(height=show.length(top_mm))
        )
    found = girth_at(sheet.measured, height_mm)
    row = trunk_row_at(sheet, height_mm)
    outline = _("outline of the trunk as a tape lies round it, between the outlines seen above and below")
    made = Made(outline) if found.from_outline else Made(_("pi x trunk; taken as round"))
    label = _("girth at {height}").format(height=show.length(height_mm))
    span = span_words(found.girth_mm, found.girth_sd_mm, show.length)
    room = "structure.trunk_profile"
    return Figure(label, show.length(found.girth_mm), span, made, _is_seen(sheet, row), room, row)


def _along(sheet: Sheet, way_mm: float, what: str) -> Figure:
    from ringwise.structure.cut_plane import cut_plane

    plane = cut_plane(sheet.measured)
    if way_mm > plane.along_mm[-1]:
        most = _("0 to {height}").format(height=show.length(float(plane.along_mm[-1])))
        raise out_of_range(_("way along the trunk"), show.length(way_mm), most)
    told, row = trunk_told(sheet.measured, plane, way_mm)
    where = _("{way} along the trunk").format(way=show.length(way_mm))
    label, made = {
        "height": (_("height"), Made(_("read off the line of the trunk"))),
        "diameter": (_("trunk"), Made(_("thickness of the trunk between the nearest readings"))),
        "girth": (
            _("girth"),
            Made(_("girth as a tape lies round the trunk; round where no outline was seen")),
        ),
    }[what]
    span = told["span"] if what == "girth" else ""
    read = None if what == "height" else row
    seen = sheet.lines_seen if read is None else _is_seen(sheet, row)
    return Figure(f"{label}, {where}", told[what]["shown"], span, made, seen, "structure.cut_plane", read)


def _branch(sheet: Sheet, number: int, what: str) -> Figure:
    from ringwise.structure.cut_plane import cut_plane

    found, _branch_of = branches_told(sheet.measured, cut_plane(sheet.measured))
    if not 1 <= number <= len(found):
        raise NotFoundError(
            _("no branch {number} of the trunk; it has {n}").format(number=number, n=len(found))
        )
    each = found[number - 1]
    label, made = _branch_made()[what]
    shown = show.fixed(each["tips"], 0) if what == "tips" else each[what]["shown"]
    row = each["row"] if what == "diameter" else None
    seen = _is_seen(sheet, each["row"])
    if what in ("tips", "part"):
        seen = sheet.lines_seen
    span = str(each.get(f"{what}_span", ""))
    return Figure(
        _("branch {n}: {what}").format(n=number, what=label), shown, span, made, seen, BRANCHES, row
    )


def _branch_made() -> dict[str, tuple[str, Made]]:
    return {
        "height": (_("height above the soil"), Made(_("height at which it leaves the trunk"))),
        "clock": (
            _("direction"),
            Made(_("where the middle of its wood lies from its foot, seen from above")),
        ),
        "angle": (_("angle to the upright"), Made(_("of its first stretch, as a protractor lies along it"))),
        "diameter": (_("thickness at its base"), Made(_("thickness of its first segment"))),
        "length": (_("length"), Made(_("along its thickest line to the end"), "gravelius1914")),
        "tips": (_("tips"), Made(_("ends of wood beyond its base"))),
        "part": (_("part of the tree"), Made(_("its tips / tips of the tree"), below=("tips",))),
    }


def trunk_row_at(sheet: Sheet, height_mm: float) -> int:
    """The segment of the trunk that first passes a height; the last one above it all.

    Parameters
    ----------
    sheet : Sheet
        Of the tree.
    height_mm : float
        Above the soil.

    Returns
    -------
    int
        Its row.
    """
    from ringwise.structure.measures import trunk_mask

    table = sheet.measured.table
    rows = np.nonzero(trunk_mask(table))[0]
    above = rows[table.end_mm[rows, 2] > height_mm]
    return int(above[0] if len(above) else rows[-1])


def _is_seen(sheet: Sheet, row: int) -> bool:
    return How(int(sheet.measured.how[row])) in SEEN
