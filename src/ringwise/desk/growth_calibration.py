"""Girths that were read, against what would have been said of them two seasons before: hits and misses."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from ringwise.desk.own_growth import TABLES, particles_of, season_of, seen_growth, start_then, starts_then
from ringwise.desk.results import kept, result_key
from ringwise.desk.shapes import Shape
from ringwise.desk.start_tree import plain_start
from ringwise.kit import chance, show
from ringwise.kit.chance import Purpose
from ringwise.kit.errors import RingwiseError
from ringwise.kit.words import _, counted
from ringwise.records.girths import girths_of_one_line

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.growth.seen_growth import SeenGrowth
    from ringwise.records.facts import TreeFacts

KIND = "growth_calibration"
LIVES = 100
_HELD_SEASONS = 2.0  # the last two seasons are held back
_SLACK_SEASONS = 0.3
_BAND = (10.0, 50.0, 90.0)
_FEW = 10  # below so many girths a count says little
_SAID_FRAC = 0.8


@dataclass(frozen=True)
class _Held:
    """What is known up to a day, and the girths read later: seasons since the first, mm, and the day."""

    seen: SeenGrowth
    days: tuple[date, ...]
    later: tuple[tuple[float, float, date], ...]


def growth_calibration(
    workspace: Workspace, name: str | None = None, progress: Callable[[float, str], None] | None = None
) -> Shape:
    """Girths of the last two seasons against the forecast from those before, for the yard or one tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str or None
        A tree; None for all of the yard.
    progress : callable, optional
        Told the share of the trees that is done.

    Returns
    -------
    dict
        Keys today, tree, heading, girths (each forecast), n, hits, coverage_frac, notes and lines.

    Raises
    ------
    NotFoundError
        If there is no such tree.
    """
    asked = [workspace.facts_of(name)] if name else list(workspace.facts.values())
    held = [(facts, found) for facts in asked if (found := _held(workspace, facts)) is not None]
    rows: list[Shape] = []
    unknown = 0
    for number, (facts, each) in enumerate(held):
        if progress is not None:
            progress(number / len(held), facts.tree.id)
        try:
            rows += _rows(workspace, facts, each)
        except RingwiseError:  # a girth alone makes no tree: neither height nor shape is known
            unknown += 1
    hits = sum(bool(row["inside"]) for row in rows)
    answer: Shape = {
        "today": workspace.today.isoformat(),
        "tree": asked[0].tree.id if name else None,
        "heading": _("Girths of the last two seasons against the forecast from those before"),
        "girths": rows,
        "n": len(rows),
        "hits": hits,
        "coverage_frac": hits / len(rows) if rows else None,
    }
    notes = _notes(len(rows), hits, unknown, workspace)
    return answer | {"notes": notes, "lines": [answer["heading"], *(row["words"] for row in rows), *notes]}


def _held(workspace: Workspace, facts: TreeFacts) -> _Held | None:
    whole = seen_growth(workspace, facts)
    if whole is None or facts.taxon is None:
        return None
    last = whole[0].seasons[-1]
    reads = girths_of_one_line(facts.entries)
    until = _HELD_SEASONS + _SLACK_SEASONS
    early = [n for n, season in enumerate(whole[0].seasons) if season <= last - until + 2 * _SLACK_SEASONS]
    if len(early) < 2:
        return None
    cut = whole[0].seasons[early[-1]]
    days = sorted(each.on for each in reads)
    day = max(
        each for each in days if season_of(workspace, each) <= season_of(workspace, whole[1][0]) + cut + 0.01
    )
    before = seen_growth(workspace, facts, until=day)
    if before is None:
        return None
    began = season_of(workspace, before[1][0])
    later = tuple(
        (season_of(workspace, each.on) - began, each.girth_mm, each.on)
        for each in reads
        if each.on > day and season_of(workspace, each.on) - began > before[0].seasons[-1] + _SLACK_SEASONS
    )
    return _Held(before[0], before[1], later) if later else None


def _rows(workspace: Workspace, facts: TreeFacts, held: _Held) -> list[Shape]:
    """The forecasts of one tree, made once and kept."""
    then = starts_then(workspace, facts, plain_start(workspace, facts), held.seen, held.days)
    inputs = {
        "then": then,
        "seen": held.seen,
        "later": held.later,
        "kind": facts.tree.species,
        "lives": LIVES,
    }

    def made() -> Shape:
        return {"rows": _forecast(workspace, facts, held)}

    key = result_key(KIND, inputs, TABLES, workspace.seed)
    return [_row(facts, each) for each in kept(workspace, KIND, key, made)["rows"]]


def _forecast(workspace: Workspace, facts: TreeFacts, held: _Held) -> list[Shape]:
    from ringwise.desk.compiling import ensure_compiled
    from ringwise.futures.hindcast import relived
    from ringwise.futures.simulate import parameters_of
    from ringwise.growth.biology import biology, growth_parameter
    from ringwise.growth.draws import Block
    from ringwise.growth.particles import at_seasons
    from ringwise.records.taxa import lookup_keys

    ensure_compiled()
    now, last = plain_start(workspace, facts), len(held.days) - 1
    told = particles_of(workspace, facts, starts_then(workspace, facts, now, held.seen, held.days), held.seen)
    start = start_then(workspace, facts, now, (held.seen, last), held.days[last])
    life = biology(lookup_keys(facts.taxon.key if facts.taxon else facts.tree.species))
    rows = parameters_of(replace(start, particles=told), life, Block(workspace.seed, 0, LIVES))
    seasons = np.array([season for season, _girth, _day in held.later]) - held.seen.seasons[-1]
    grown = relived(start, rows, int(np.ceil(seasons[-1] - 1e-9)), workspace.seed)
    girth = at_seasons(grown.girth_mm / grown.girth_mm[:, :1] * held.seen.girths_mm[-1], seasons)
    luck = chance.normal(workspace.seed, np.arange(LIVES), 0, 0, Purpose.MEASUREMENT, 1)
    error = growth_parameter("girth_tape_error") * luck
    out = []
    for place, (_season, read_mm, day) in enumerate(held.later):
        said = girth[:, place] + error
        low, middle, high = (float(each) for each in np.nanpercentile(said, _BAND))
        out.append(
            {
                "on": day.isoformat(),
                "girth_mm": read_mm,
                "low_mm": round(low, 1),
                "median_mm": round(middle, 1),
                "high_mm": round(high, 1),
                "inside": low <= read_mm <= high,
                "increments": told.increments_n,
            }
        )
    return out


def _row(facts: TreeFacts, each: Shape) -> Shape:
    words = _("{tree} {name}, {day}: said {span}, read {girth}: {verdict}").format(
        tree=facts.tree.id,
        name=facts.tree.name,
        day=show.day(date.fromisoformat(each["on"]), year=True),
        span=show.length_span(each["low_mm"], each["high_mm"]),
        girth=show.length(each["girth_mm"]),
        verdict=_("hit") if each["inside"] else _("miss"),
    )
    return {"tree": facts.tree.id, "name": facts.tree.name} | each | {"words": words}


def _notes(count: int, hits: int, unknown: int, workspace: Workspace) -> list[str]:
    if count == 0:
        return [_("No tree has girths of three winters, the first two of them two seasons before the last.")]
    notes = [
        _("{hits} of {n} girths lie in the band that should hold 8 in 10: {verdict}.").format(
            hits=hits, n=count, verdict=_verdict(count, hits)
        ),
        _("The form of the tree before is that of today drawn smaller where nothing was measured then."),
    ]
    if unknown:
        notes.append(
            counted(
                "{n} tree is left out: its height or shape is not known.",
                "{n} trees are left out: their height or shape is not known.",
                unknown,
            )
        )
    if workspace.settings.invented:
        notes.append(
            _("Records of this yard are invented: this is a check that the parts agree, no evidence.")
        )
    return notes


def _verdict(count: int, hits: int) -> str:
    from scipy.stats import binom

    if count < _FEW:
        return _("too few to judge by")
    if binom.cdf(hits, count, _SAID_FRAC) < 0.025:
        return _("bands are too narrow")
    if binom.sf(hits - 1, count, _SAID_FRAC) < 0.025:
        return _("bands are wider than needed")
    return _("bands are as wide as they say")
