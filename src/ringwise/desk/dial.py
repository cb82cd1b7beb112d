"""The wish for a ring dial: girth through the years, what was seen and done, windows, the years ahead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from ringwise.desk.entry_words import entry_words, group_of, stage_words
from ringwise.desk.told import day_shape, told
from ringwise.growth.girth_line import GROWTH_STAGES, GirthLine, GirthPoint, girth_line, growth_curve
from ringwise.kit import show
from ringwise.kit.days import GrowingYear, growing_year
from ringwise.kit.words import _, counted
from ringwise.records.date_shown import date_shown
from ringwise.records.girths import girths_of_one_line
from ringwise.records.observations import ROOTS_ACTIVE

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.ranged import DateBand
    from ringwise.records.dates import FuzzyDate
    from ringwise.records.facts import TreeFacts

SHOWN_STAGES = ("03", "07", "11", "19", "H1", "91", "93", "97")  # enough to read the year, few enough to draw
_MARKS = {
    "stage": "seen",
    "vigour": "seen",
    "girth": "measured",
    "trunk": "measured",
    "height": "measured",
    "drain": "measured",
    "days_dry": "measured",
    "weight": "measured",
    "graft_check": "measured",
    "tape": "measured",
    "shape": "measured",
    "wound": "measured",
    "roots": "measured",
    "aim": "asked",
    "result": "seen",
    "note": "noted",
    "photo": "photo",
    "work": "worked",
    "planned": "planned",
    "question": "asked",
    "course": "noted",
    "decision": "noted",
}


@dataclass(frozen=True)
class GirthAhead:
    """The girth at the end of a growing year to come, over the futures in which the tree lives."""

    label: int
    low_mm: float
    median_mm: float
    high_mm: float
    alive_frac: float


@dataclass(frozen=True)
class DialNews:
    """What the dial is told by the almanac and by the futures; all of it may be missing.

    `stages` are bands by code in this growing year; `windows` have the keys of `window_shape` and "wanted";
    `ahead_words` says in a line what the years ahead stand on, or why there are none.
    """

    stages: Mapping[str, DateBand] = field(default_factory=dict)
    windows: Sequence[Mapping[str, Any]] = ()
    ahead: Sequence[GirthAhead] = ()
    ahead_state: str = "none"
    ahead_words: str = ""


def time_years(when: date, *, south: bool) -> float:
    """A day as the label of its growing year and the fraction of it gone by.

    Parameters
    ----------
    when : date
        The day.
    south : bool
        Whether the yard lies south of the equator.

    Returns
    -------
    float
        Such as 2027.347.

    Examples
    --------
    >>> time_years(date(2026, 11, 1), south=False), time_years(date(2027, 5, 1), south=True)
    (2027.0, 2027.0)
    """
    year = growing_year(when, south=south)
    return year.label + (when - year.start).days / year.length_days


def dial(workspace: Workspace, name: str, news: DialNews) -> Shape:
    """Everything that the ring dial of a tree draws.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    news : DialNews
        Stages, windows and years ahead, as far as they are made.

    Returns
    -------
    dict
        Dates as fractions of the growing year, girths in mm.
    """
    facts = workspace.facts_of(name)
    south = workspace.settings.south
    now = time_years(workspace.today, south=south)
    started = facts.tree.started
    curve = growth_curve(_stage_fracs(news.stages, workspace.year))
    line = dial_line(workspace, facts, news.stages)
    year = workspace.year
    marks = _marks(facts, workspace.today, south=south)
    return {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "today": workspace.today.isoformat(),
        "today_frac": now - year.label,
        "south": south,
        "year": year.label,
        "seed": day_shape(started),
        "seed_known": line is not None and float(line.girths_mm[0]) == 0.0,
        "scaled": line is not None and line.scaled,
        "line": [] if line is None else _corners(line),
        "years": _years(facts.tree.id, line, year),
        "growth": curve.tolist(),
        "marks": marks,
        "windows": [_window(w, south, year) for w in news.windows if w["opens_low"] and w["closes_low"]],
        "stages": _stages(facts, news.stages, year, south=south),
        "ahead": [_ahead(facts.tree.id, each) for each in news.ahead] if line and line.scaled else [],
        "ahead_state": news.ahead_state,
        "ahead_words": news.ahead_words,
        "ahead_why": f"{facts.tree.id}:ahead" if news.ahead else None,
        "sentence": _sentence(facts, line, len(marks), news),
        "notes": _notes(line),
    }


def dial_line(workspace: Workspace, facts: TreeFacts, stages: Mapping[str, DateBand]) -> GirthLine | None:
    """The girth of a tree from its beginning to today, growing while its stages say that it grows.

    Parameters
    ----------
    workspace : Workspace
        For today and the hemisphere.
    facts : TreeFacts
        Of the tree.
    stages : mapping of str to DateBand
        Expected days of this growing year, by code; may be empty.

    Returns
    -------
    GirthLine or None
        None where neither a beginning nor a girth is known.
    """
    south = workspace.settings.south
    started = facts.tree.started
    return girth_line(
        [
            GirthPoint(time_years(read.on, south=south), read.girth_mm)
            for read in girths_of_one_line(facts.entries)
        ],
        began_years=None if started.middle is None else time_years(started.middle, south=south),
        now_years=time_years(workspace.today, south=south),
        curve=growth_curve(_stage_fracs(stages, workspace.year)),
    )


def _stage_fracs(stages: Mapping[str, DateBand], year: GrowingYear) -> dict[str, float]:
    return {
        code: (stages[code].median - year.start).days / year.length_days
        for code in GROWTH_STAGES
        if code in stages
    }


def _corners(line: GirthLine) -> list[list[float]]:
    return [
        [round(float(t), 4), round(float(g), 2)]
        for t, g in zip(line.times_years, line.girths_mm, strict=True)
    ]


def _years(tree: str, line: GirthLine | None, year: GrowingYear) -> list[Shape]:
    rings = [] if line is None else list(line.rings)
    shapes = []
    for ring in rings:
        own = GrowingYear(ring.label, year.south)
        known = line is not None and line.scaled
        shown = show.length(ring.end_mm) if known else ""
        shapes.append(
            _year_shape(own, ring.start_mm, ring.end_mm, ring.basis)
            | {"told": told(ring.end_mm if known else None, shown, f"{tree}:girth@{ring.label}")}
        )
    if not rings or rings[-1].label != year.label:
        shapes.append(_year_shape(year, 0.0, 0.0, "assumed") | {"told": told(None, "", None)})
    return shapes


def _year_shape(year: GrowingYear, start_mm: float, end_mm: float, basis: str) -> Shape:
    return {
        "label": year.label,
        "first": year.start.isoformat(),
        "days": year.length_days,
        "start_girth_mm": start_mm,
        "end_girth_mm": end_mm,
        "basis": basis,
    }


def _spread_frac(when: FuzzyDate) -> float:
    if when.earliest is None or when.latest is None:
        return 0.0
    return min(0.5, (when.latest - when.earliest).days / 2 / 365.25)


def _marks(facts: TreeFacts, today: date, *, south: bool) -> list[Shape]:
    marks = []
    group = group_of(facts.tree)
    for entry in facts.entries:
        middle = entry.on.middle or entry.on.by
        if middle is None or entry.kind not in _MARKS:  # daily waterings would hide all others
            continue
        when = middle if entry.kind == "planned" else min(middle, today)  # this year so far is not yet over
        time = time_years(when, south=south)
        label = growing_year(when, south=south).label
        words = entry_words(entry, group)
        marks.append(
            {
                "entry": entry.id,
                "kind": _MARKS[entry.kind],
                "year": label,
                "frac": round(time - label, 4),
                "spread_frac": round(_spread_frac(entry.on), 4),
                "words": words,
                "text": _("{day}: {words}").format(day=date_shown(entry.on), words=words),
                "on": day_shape(entry.on),
            }
        )
    return sorted(marks, key=lambda mark: (mark["year"] + mark["frac"], mark["entry"]))


def _window(window: Mapping[str, Any], south: bool, year: GrowingYear) -> Shape:
    times = {}
    for end in ("opens", "closes"):
        for key, name in (("low", f"{end}_low"), ("median", end), ("high", f"{end}_high")):
            day = date.fromisoformat(window[f"{end}_{key}"])
            times[name] = round(time_years(day, south=south) - year.label, 4)
    kept = ("operation", "operation_words", "state", "sentence", "wanted")
    name, chance = f"{window['tree']}:{window['operation']}", window["open_prob"]
    known = chance is not None and window["state"] != "blocked"
    return (
        {key: window[key] for key in kept}
        | times
        | {
            "chance": told(chance if known else None, show.odds(chance) if known else "", f"{name}:chance"),
            "why": f"{name}:opens",
        }
    )


def _stages(
    facts: TreeFacts, bands: Mapping[str, DateBand], year: GrowingYear, *, south: bool
) -> list[Shape]:
    seen: dict[str, date] = {}
    for entry in facts.entries:
        day = entry.on.by
        if entry.kind != "stage" or entry.data["code"] == ROOTS_ACTIVE:  # no stage of the leaves
            continue
        if day is not None and growing_year(day, south=south) == year:
            seen.setdefault(str(entry.data["code"]), day)
    shapes = []
    group = group_of(facts.tree) or ""
    for code in dict.fromkeys([*SHOWN_STAGES, *seen]):
        band = bands.get(code)
        if code not in seen and band is None:
            continue
        words = stage_words(code, group)
        if code in seen:
            text = _("{words}: seen on {day}").format(words=words, day=show.day(seen[code]))
        else:
            assert band is not None
            text = _("{words}: expected {span}").format(words=words, span=show.span(band.low, band.high))
        shapes.append(
            {
                "code": code,
                "words": words,
                "seen_frac": _frac(seen.get(code), year),
                "low_frac": _frac(band.low if band else None, year),
                "median_frac": _frac(band.median if band else None, year),
                "high_frac": _frac(band.high if band else None, year),
                "text": text,
                "why": f"{facts.tree.id}:stage:{code}",
            }
        )
    return shapes


def _frac(day: date | None, year: GrowingYear) -> float | None:
    if day is None:
        return None
    return round((day - year.start) / timedelta(days=year.length_days), 4)


def _ahead(tree: str, each: GirthAhead) -> Shape:
    span = _("{low} to {high}").format(low=show.length(each.low_mm), high=show.length(each.high_mm))
    return {
        "label": each.label,
        "low_mm": each.low_mm,
        "median_mm": each.median_mm,
        "high_mm": each.high_mm,
        "alive_frac": each.alive_frac,
        "told": told(each.median_mm, span, f"{tree}:ahead:{each.label}"),
    }


def _sentence(facts: TreeFacts, line: GirthLine | None, marks: int, news: DialNews) -> str:
    parts = [_("Ring dial of {name}.").format(name=facts.tree.name)]
    if line is None:
        parts.append(_("Neither its beginning nor a girth is known."))
    else:
        parts.append(counted("{n} ring.", "{n} rings.", len(line.rings)))
        if line.scaled:
            girth = show.length(float(line.girths_mm[-1]))
            parts.append(_("Girth now about {girth}.").format(girth=girth))
    parts.append(counted("{n} mark.", "{n} marks.", marks))
    parts += [
        _("{work}: {sentence}.").format(work=w["operation_words"], sentence=w["sentence"])
        for w in news.windows
    ]
    return " ".join(parts)


def _notes(line: GirthLine | None) -> list[str]:
    if line is None:
        return [_("Say when the tree began, or measure its girth, and its rings are drawn.")]
    if not line.scaled:
        return [_("No girth was measured yet: the rings are equal and not to scale.")]
    notes = []
    if any(ring.basis == "assumed" for ring in line.rings):
        notes.append(_("Pale rings were not measured: their growth is filled in evenly."))
    if line.shrunk:
        notes.append(_("A later girth was smaller than an earlier one; that span is drawn without growth."))
    return notes
