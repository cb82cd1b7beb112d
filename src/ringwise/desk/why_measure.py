"""Why a figure of a measured tree is what it is: how it is made, its spread, the measurement it stands on.

Faults and proportions of the trade are told with the thresholds they are held against.
"""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from ringwise.desk.entry_words import shape_source_words
from ringwise.desk.measure_figures import Figure, figure_of
from ringwise.desk.measure_sheet import (
    Sheet,
    faults_of,
    sheet_of,
    standings_of,
    wound_reading,
    wounds_of,
)
from ringwise.desk.measure_words import (
    clock_words,
    fault_threshold_words,
    fault_words,
    length_with,
    proportion_name,
    proportion_words,
)
from ringwise.desk.own_facts import own_facts
from ringwise.desk.roots_seen import latest_sectors, seen_roots
from ringwise.desk.shape_told import how_words
from ringwise.desk.why_facts import RECORD, entry_trace, fact_trace
from ringwise.kit import show
from ringwise.kit.errors import InputError, NotFoundError
from ringwise.kit.tables import load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _, counted
from ringwise.structure.measured import How

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.structure.standing import Standing

_FAULT, _WOUND = re.compile(r"fault_(\d+)"), re.compile(r"wound_(\d+)")
OTHERS = ("fault_1", "wound_1", "root_sectors")
_JUDGED = "structure.standing"
# The figure that a proportion is reckoned from; pots and the thickest branch are told by their formula.
_OF_PROPORTION = {
    "height_to_base.ratio": "height_to_base_ratio",
    "first_branch.height_frac": "first_branch_frac",
    "taper.half_to_base_ratio": "taper_ratio",
    "movement.offset_frac": "movement_frac",
    "ramification.strahler_order": "strahler",
}


def measure_why(tree: str, figure: str, on: date | None = None, which: int = 0) -> str:
    """The name of the why of a figure of a measured tree.

    Parameters
    ----------
    tree : str
        Its id.
    figure : str
        Such as "height_mm".
    on : date, optional
        As of which day; all that is known by default.
    which : int
        Which of the equally likely trees.

    Returns
    -------
    str
        To be asked for.

    Examples
    --------
    >>> measure_why("T03", "height_mm"), measure_why("T03", "tips", date(2027, 3, 1), 2)
    ('T03:measure:height_mm', 'T03:measure:tips@2027-03-01@2')
    """
    parts = [figure, "" if on is None else on.isoformat(), str(which) if which else ""]
    return f"{tree}:measure:{'@'.join(parts).rstrip('@')}"


def measure_trace(workspace: Workspace, tree: str, name: str) -> Trace:
    """Why a figure of a measured tree is what it is.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    name : str
        Of the figure, and after an @ the day, and after another which of the equally likely trees.

    Returns
    -------
    Trace
        Its chain.

    Raises
    ------
    InputError
        If the name does not read.
    UnknownNameError, NotFoundError
        If there is no such figure, or this tree has none of it.
    """
    figure, on, which = _parts(name)
    facts = own_facts(workspace, tree)
    sheet = workspace.once(
        ("shape sheet", facts.tree.id, which, on), lambda: sheet_of(workspace, facts, which, on)
    )
    if fault := _FAULT.fullmatch(figure):
        return _fault(facts, sheet, int(fault[1]), _standing_on(workspace, facts, sheet))
    if wound := _WOUND.fullmatch(figure):
        return _wound(workspace, facts, int(wound[1]))
    if figure == "root_sectors":
        return _roots(workspace, facts)
    standing = next((each for each in standings_of(facts, sheet) if each.key == figure), None)
    if standing is not None:
        return _proportion(workspace, facts, sheet, standing)
    return _figure(workspace, facts, sheet, figure)


def _parts(name: str) -> tuple[str, date | None, int]:
    figure, _mark, rest = name.partition("@")
    day, _mark, which = rest.partition("@")
    try:
        return figure, date.fromisoformat(day) if day else None, int(which or 0)
    except ValueError:
        raise InputError(
            _('"{name}" does not read; write FIGURE or FIGURE@DATE, such as height_mm@2027-03-01').format(
                name=name
            )
        ) from None


def _figure(workspace: Workspace, facts: TreeFacts, sheet: Sheet, name: str) -> Trace:
    known = [each.key for each in standings_of(facts, sheet)]
    figure = figure_of(sheet, name, also=[*OTHERS, *known])
    label = _("{what} of {tree}").format(what=figure.label, tree=facts.tree.id)
    below = [*_made_of(sheet, figure), *_spread(sheet, figure), *_standing_on(workspace, facts, sheet)]
    return Trace(
        label,
        figure.value,
        figure.room,
        figure.made.formula,
        figure.made.source,
        _basis(sheet, figure),
        tuple(below),
    )


def _made_of(sheet: Sheet, figure: Figure) -> list[Trace]:
    """The figures below a figure, and what a thickness rests on."""
    below = []
    for each in figure.made.below:
        part = figure_of(sheet, each)
        inner = tuple(_made_of(sheet, part))
        below.append(
            Trace(
                part.label,
                part.value,
                part.room,
                part.made.formula,
                part.made.source,
                _basis(sheet, part),
                inner,
            )
        )
    if figure.row is not None:
        measured = sheet.measured
        sd_mm = 2.0 * float(measured.radius_sd_mm[figure.row])
        thickness = length_with(float(measured.table.diameter_mm[figure.row]), sd_mm)
        how = how_words(How(int(measured.how[figure.row])))
        below.append(Trace(_("thickness there"), thickness, RECORD, how, "", _basis(sheet, figure)))
    return below


def _basis(sheet: Sheet, figure: Figure) -> str:
    parts = [figure_of(sheet, each) for each in figure.made.below]
    seen = figure.seen and all(_basis(sheet, part) == "measured" for part in parts)
    return "measured" if seen else "assumed"


def _spread(sheet: Sheet, figure: Figure) -> list[Trace]:
    """How the span of a figure was made; nothing where none is shown."""
    if not figure.span:
        return []
    table = load_table("ringwise.structure", "measuring")
    by_tape = sheet.source in ("tape", "basics")
    formula, rows = _("how sure this one reading is"), []
    if figure.drawn:
        formula = _("spread of many draws within what each thickness and place may be off")
        rows.append(trace_parameter(table.get("spread", "draws"), _("draws")))
    if figure.drawn and by_tape:
        formula = _("spread of many draws within what each reading may be off, and of equally likely trees")
        rows.append(trace_parameter(table.get("spread", "likely_trees"), _("equally likely trees")))
    if by_tape:
        rows += [trace_parameter(table.get("reading", key), words) for key, words in _readings(sheet).items()]
    else:
        rows.append(Trace(_("what each may be off"), _("kept with the measured tree"), RECORD))
    return [
        Trace(
            _("four in five lie within"),
            figure.span,
            "structure.spread",
            formula,
            "own",
            "assumed",
            tuple(rows),
        )
    ]


def _readings(sheet: Sheet) -> dict[str, str]:
    if sheet.source == "basics":
        return {"assumed_sd_frac": _("a thickness that nobody measured, of its radius")}
    return {
        "girth_sd_mm": _("a girth by tape"),
        "calliper_sd_mm": _("a thickness by calliper"),
        "place_sd_mm": _("a height or length by tape"),
        "pipe_sd_frac": _("a thickness estimated from its tips, of its radius"),
    }


def _standing_on(workspace: Workspace, facts: TreeFacts, sheet: Sheet) -> tuple[Trace, ...]:
    """The measurement behind the tree: an entry, or trunk and height alone."""
    if sheet.entry is None:
        known = [key for key in ("trunk_mm", "height_mm") if getattr(facts, key) is not None]
        basics = tuple(fact_trace(workspace, facts.tree.id, key) for key in known)
        branches = Trace(
            _("branches"), _("invented by common practice"), "structure.basics", "", "practice", "assumed"
        )
        return (*basics, branches)
    return (_measurement(workspace, sheet.entry, sheet.source),)


def _measurement(workspace: Workspace, entry: Entry, source: str) -> Trace:
    written = entry_trace(workspace, entry)
    photos = entry.data.get("photos")
    more = [Trace(_("measured by"), shape_source_words(source), RECORD)]
    if isinstance(photos, list) and photos:
        more.append(Trace(_("from photos"), show.number(len(photos), 4), RECORD, "", "", "measured"))
    if entry.kind == "shape":
        more.append(
            Trace(
                _("segments"), show.number(float(str(entry.data["segments"])), 6), RECORD, "", "", "measured"
            )
        )
        more.append(Trace(_("kept in"), str(entry.data["file"]), RECORD))
    return Trace(written.label, written.value, written.room, "", "", "measured", (*more, *written.inputs))


def _fault(facts: TreeFacts, sheet: Sheet, number: int, standing_on: tuple[Trace, ...]) -> Trace:
    found = faults_of(facts, sheet)
    if not 1 <= number <= len(found):
        raise NotFoundError(
            _("no fault {number} of {tree}; the rules name {n}").format(
                number=number, tree=facts.tree.id, n=len(found)
            )
        )
    fault = found[number - 1]
    words = fault_threshold_words()
    rows = tuple(
        trace_parameter(row, words.get((row.key, row.parameter), ""))
        for row in load_table("ringwise.structure", "faults").rows
        if row.key == fault.kind or (row.key, row.parameter) in _shared_thresholds(fault.kind)
    )
    label = _("fault by rule of {tree}").format(tree=facts.tree.id)
    rule = _("a rule of the trade: what a judge would point at, not what must go")
    return Trace(
        label, fault_words(fault), "structure.faults", rule, "practice", "practice", (*rows, *standing_on)
    )


def _shared_thresholds(kind: str) -> tuple[tuple[str, str], ...]:
    """Thresholds of other rules that a rule is held against too."""
    levels, apex = ("bar", "level_frac"), ("bar", "top_frac")
    return {
        "wheel": (levels, apex),
        "parallel": (levels, apex),
        "inner": (apex,),
        "against_style": (apex,),
        "thick_high": (apex,),
        "thick_branch": (apex,),
    }.get(kind, ())


def _proportion(workspace: Workspace, facts: TreeFacts, sheet: Sheet, standing: Standing) -> Trace:
    usual = trace_parameter(standing.row, _("usual, the middle of its range"))
    name = _OF_PROPORTION.get(standing.key)
    below = [_figure(workspace, facts, sheet, name)] if name else list(_standing_on(workspace, facts, sheet))
    if standing.key == "root_sectors.filled_of_twelve":
        below = [_roots(workspace, facts)]
    formula = {
        "branch_to_trunk.ratio": _("thickest branch base / trunk there, below the apex"),
        "pot.length_to_height_ratio": _(
            "length of the pot / height, or width from the front where that is more"
        ),
        "pot.depth_to_base_ratio": _("depth of the pot / trunk at the base"),
    }.get(standing.key, _("the measure beside the usual range; it scores nothing"))
    label = _("{what} of {tree}").format(what=proportion_name(standing.key), tree=facts.tree.id)
    return Trace(label, proportion_words(standing), _JUDGED, formula, "practice", "practice", (usual, *below))


def _roots(workspace: Workspace, facts: TreeFacts) -> Trace:
    sectors, entry = seen_roots(facts.entries), latest_sectors(facts.entries)
    if sectors is None or entry is None:
        raise NotFoundError(_("no roots of {tree} were looked at").format(tree=facts.tree.id))
    label = _("hours of the clock with a surface root, of {tree}").format(tree=facts.tree.id)
    formula = _("hours at which a live root was seen, of twelve")
    return Trace(
        label, str(sum(sectors)), RECORD, formula, "own", "measured", (entry_trace(workspace, entry),)
    )


def _wound(workspace: Workspace, facts: TreeFacts, number: int) -> Trace:
    found = wounds_of(facts)
    if not 1 <= number <= len(found):
        raise NotFoundError(
            _("no wound {number} of {tree}; it has {n}").format(
                number=number, tree=facts.tree.id, n=len(found)
            )
        )
    wound = found[number - 1]
    last = wound.latest
    where = show.length(last.at_mm)
    if last.clock is not None:
        where += ", " + _("{clock} o'clock").format(clock=clock_words(last.clock))
    table = load_table("ringwise.structure", "measuring")
    rows = (
        trace_parameter(table.get("wound", "same_place_mm"), _("one wound where heights are as near as")),
        trace_parameter(table.get("wound", "same_place_clock"), _("and round the trunk as near as")),
    )
    read = counted("the last of {n} reading", "the last of {n} readings", len(wound.readings))
    entries = tuple(
        entry_trace(workspace, each)
        for each in facts.entries
        if each.kind == "wound" and wound_reading(each) in wound.readings
    )
    label = _("wound of {tree} at {where}").format(tree=facts.tree.id, where=where)
    return Trace(
        label, show.length(last.width_mm), "structure.wound_list", read, "own", "measured", (*rows, *entries)
    )
