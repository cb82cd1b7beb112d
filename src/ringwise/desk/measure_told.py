"""The wish for all measures of a tree on a day, each with its spread, under documented keys."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from ringwise.desk.entry_words import shape_source_words
from ringwise.desk.measure_sheet import Sheet, faults_of, sheet_of, standings_of, wounds_of
from ringwise.desk.measure_words import (
    clock_words,
    fault_words,
    length_give,
    proportion_words,
    size_lines,
)
from ringwise.desk.own_facts import own_facts
from ringwise.desk.roots_seen import seen_roots
from ringwise.desk.why_measure import measure_why
from ringwise.kit import show
from ringwise.kit.errors import out_of_range
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _, counted
from ringwise.records.date_shown import date_shown
from ringwise.structure.measured import How

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.branching import Branch
    from ringwise.structure.measured import MeasuredTree
    from ringwise.structure.measures import Measures
    from ringwise.structure.wound_list import Wound

_MM2_PER_CM2, _MM2_PER_DM2 = 100.0, 10_000.0  # exact


@dataclass(frozen=True)
class ShowWish:
    """What was asked: heights at which the girth is wanted, and the side the crown is seen from."""

    tree: str
    at: tuple[str, ...] = ()
    view: str = ""


def measure_show(workspace: Workspace, wish: ShowWish) -> Shape:
    """All measures of a tree as of the day of the workspace.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : ShowWish
        Tree, heights and side.

    Returns
    -------
    dict
        Documented keys, and lines to show.

    Raises
    ------
    MissingFieldError
        If nothing of the tree was measured by that day.
    InputError
        If a height or side does not read.
    """
    facts = own_facts(workspace, wish.tree)
    heights = [parse_quantity(text, "length", field="--at", default_unit="cm") for text in wish.at]
    view = _view(wish.view)
    sheet = sheet_of(workspace, facts)
    return sheet_told(facts, sheet, heights, view) | {"on": workspace.today.isoformat()}


def _view(text: str) -> float:
    from ringwise.records.positions import parse_clock

    return parse_clock(text, field="--view") if text else 6.0


def sheet_told(facts: TreeFacts, sheet: Sheet, heights_mm: Sequence[float], view_clock: float) -> Shape:
    """The sheet of a tree under its documented keys.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    sheet : Sheet
        Its measures.
    heights_mm : sequence of float
        At which the girth is wanted.
    view_clock : float
        The side that the crown is seen from.

    Returns
    -------
    dict
        Keys as in the reference, and lines.

    Raises
    ------
    RangeError
        If a height lies above the tree.
    """
    from ringwise.structure.trunk_profile import girth_at, profile

    measured, m = sheet.measured, sheet.found
    for each in heights_mm:
        if not 0.0 <= each <= m.height_mm:
            raise out_of_range(
                "--at", show.length(each), _("0 to {height}").format(height=show.length(m.height_mm))
            )
    sectors = seen_roots(facts.entries)
    nebari = girth_at(measured, 0.0)
    answer: Shape = {
        "tree": facts.tree.id,
        "source": sheet.source,
        "entry": None if sheet.entry is None else sheet.entry.id,
        "segments": measured.n,
        **_sizes(m),
        "nebari_girth_mm": nebari.girth_mm,
        "sd": {name: _known(value) for name, value in sheet.sd.items()}
        | {"nebari_girth_mm": _known(nebari.girth_sd_mm)},
        "girths": [_girth(girth_at(measured, each)) for each in heights_mm],
        "profile": [_girth(each) for each in profile(measured)],
        "branches": [_branch(measured, each) for each in sheet.branches],
        "branch_rows": [_row(each) for each in sheet.named],
        **_crown(sheet, view_clock),
        "root_sectors": None if sectors is None else list(sectors),
        "wounds": [_wound(each) for each in wounds_of(facts)],
        **_judged(facts, sheet),
    }
    return answer | {"lines": _lines(facts, sheet, answer)}


def _crown(sheet: Sheet, view_clock: float) -> Shape:
    """How the trunk moves, how finely the tree is branched, and its crown from a side."""
    from ringwise.structure.branching import ramification
    from ringwise.structure.crown_side import crown_side
    from ringwise.structure.movement import movement

    table = sheet.measured.table
    side, moves, fine = crown_side(table, view_clock=view_clock), movement(table), ramification(table)
    return {
        "total_length_mm": fine.total_length_mm,
        "movement": {
            "offset_frac": moves.offset_frac,
            "turns": [{"height_mm": t.height_mm, "turn_deg": t.turn_deg} for t in moves.turns],
            "stretches_mm": list(moves.stretches_mm),
            "shortening": moves.shortening,
        },
        "ramification": {
            "strahler_counts": list(fine.strahler_counts),
            "gravelius_counts": list(fine.gravelius_counts),
            "gravelius_lengths_mm": list(fine.gravelius_lengths_mm),
            "bifurcation_ratio": fine.bifurcation_ratio,
            "internode_mm": fine.internode_mm,
            "tips_per_dm2": fine.tips / (side.area_mm2 / _MM2_PER_DM2),
        },
        "crown": {
            "view_clock": side.view_clock,
            "width_mm": side.width_mm,
            "area_cm2": side.area_mm2 / _MM2_PER_CM2,
            "wood_frac": side.wood_frac,
            "outline_mm": [[round(float(x), 1), round(float(y), 1)] for x, y in side.outline_mm],
        },
    }


def _judged(facts: TreeFacts, sheet: Sheet) -> Shape:
    """Faults by rule and the trade's proportions; what was not measured is not judged."""
    return {
        "faults": [
            {
                "kind": each.kind,
                "words": fault_words(each),
                "height_mm": each.height_mm,
                "clock": each.clock,
                "segments": list(each.rows),
                "basis": "practice",
            }
            for each in faults_of(facts, sheet)
        ],
        "proportions": [
            {
                "key": each.key,
                "words": proportion_words(each),
                "found_ratio": each.found_ratio,
                "low": each.row.low,
                "high": each.row.high,
                "place": each.place,
                "basis": "practice",
            }
            for each in standings_of(facts, sheet)
        ],
    }


def _sizes(m: Measures) -> Shape:
    return {
        "height_mm": m.height_mm,
        "spread_mm": m.spread_mm,
        "spread_front_mm": m.spread_front_mm,
        "base_diameter_mm": m.base_diameter_mm,
        "base_girth_mm": m.base_girth_mm,
        "half_height_diameter_mm": m.half_height_diameter_mm,
        "taper_ratio": m.taper_ratio,
        "height_to_base_ratio": m.height_to_base_ratio,
        "first_branch_frac": m.first_branch_frac,
        "movement_frac": m.movement_frac,
        "wood_cm3": m.wood_cm3,
        "tips": m.tips,
        "strahler": m.strahler,
    }


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _girth(found: Any) -> Shape:
    return {key: _known(value) if isinstance(value, float) else value for key, value in asdict(found).items()}


def _branch(measured: MeasuredTree, branch: Branch) -> Shape:
    told = {
        key: _known(value) if isinstance(value, float) else value for key, value in asdict(branch).items()
    }
    how = How(int(measured.how[branch.row])).name.lower()
    return {key: value for key, value in told.items() if key != "row"} | {"segment": branch.row, "how": how}


def _row(branch: Branch) -> list[str]:
    """A branch of the trunk as a row of a table."""
    return [
        length_give(branch.height_mm, _known(branch.height_sd_mm)),
        clock_words(branch.clock),
        f"{show.number(branch.angle_deg, 2)}°",
        length_give(branch.base_diameter_mm, _known(branch.base_diameter_sd_mm)),
        length_give(branch.length_mm, _known(branch.length_sd_mm)),
        show.number(branch.tips, 4),
        show.percent(branch.wood_frac),
    ]


def _wound(wound: Wound) -> Shape:
    first, last = wound.readings[0], wound.latest
    return {
        "height_mm": last.at_mm,
        "clock": last.clock,
        "width_mm": last.width_mm,
        "first_width_mm": first.width_mm,
        "since": None if first.on is None else first.on.isoformat(),
        "read": None if last.on is None else last.on.isoformat(),
        "open": wound.is_open,
    }


def _lines(facts: TreeFacts, sheet: Sheet, told: Shape) -> list[str]:
    tree = f"{facts.tree.id} {facts.tree.name}"
    if sheet.entry is None:
        head = _("{tree}, from its trunk and height alone; branches are reckoned").format(tree=tree)
    else:
        head = _("{tree}, from {source} of {day}").format(
            tree=tree, source=shape_source_words(sheet.source), day=date_shown(sheet.entry.on)
        )
    fine = told["ramification"]
    parts = [counted("{n} tip", "{n} tips", told["tips"])]
    parts.append(_("{n} on a square decimetre of the outline").format(n=show.number(fine["tips_per_dm2"], 2)))
    if fine["bifurcation_ratio"] is not None:
        parts.append(_("each order {n} times as many").format(n=show.number(fine["bifurcation_ratio"], 2)))
    if fine["internode_mm"] is not None:
        parts.append(_("last shoots {size}").format(size=show.length(fine["internode_mm"])))
    lines = [head, *size_lines(told), ", ".join(parts)]
    reckoned = sum(each["order"] == 1 for each in told["branches"]) - len(told["branch_rows"])
    if reckoned:
        lines.append(
            counted("{n} branch of the trunk is reckoned", "{n} branches of the trunk are reckoned", reckoned)
        )
    return [*lines, _("More: ringwise why {figure}").format(figure=measure_why(facts.tree.id, "height_mm"))]
