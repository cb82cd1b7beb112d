"""Past forecasts in the app: what can be scored, how far that is, figures by stage and lead, a drawing."""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from ringwise.desk.calibration_tasks import tasks_of
from ringwise.desk.entry_words import stage_words
from ringwise.desk.shapes import Shape
from ringwise.desk.told import told
from ringwise.desk.weather_under import yard_series
from ringwise.desk.yard_forecast import tree_number
from ringwise.kit import show
from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import NotFoundError, unknown_name
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.calibration import SeasonTask
    from ringwise.desk.workspace import Workspace
    from ringwise.phenology.scores import Score, Totals

ALL = "all"  # every stage taken together
DRAWN_LEAD_DAYS = 14  # what is drawn first: the time in which a bench day is planned
MOST_DRAWN = 120  # more lines than that cannot be told apart
_WEEK_DAYS = 7


def calibration_room(workspace: Workspace, *, code: str = "", lead_days: int = DRAWN_LEAD_DAYS) -> Shape:
    """How past forecasts did, for the page: nothing is reckoned here that takes long.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    code : str
        The stage that is drawn; blank for the one seen most often.
    lead_days : int
        How long before the stage was seen the forecast that is drawn was made.

    Returns
    -------
    dict
        As the contract of the app has it; `state` is none (with what is needed),
        wanted, making, stopped (cancelled or failed) or ready.

    Raises
    ------
    UnknownNameError
        If no such lead is scored.
    """
    from ringwise.phenology.hindcast import LEADS_DAYS

    if lead_days not in LEADS_DAYS:
        raise unknown_name(_("days before"), str(lead_days), [str(each) for each in LEADS_DAYS])
    tasks, lacking = tasks_of(workspace)
    if lacking:
        return _blank("none", lacking)
    if any(workspace.store.result_get(task.key) is None for task in tasks):
        return _pending(workspace, tasks)
    scores = scores_kept(workspace, tasks)
    if not scores:
        return _blank(
            "none",
            _(
                "No forecast could have been made before any stage that was seen: no full year of weather "
                "lies before it. Import earlier years."
            ),
        )
    codes = _codes(scores)
    drawn = code if code in codes else max(codes, key=lambda each: sum(s.code == each for s in scores))
    return {
        "state": "ready",
        "words": _summary(scores),
        "job": None,
        "progress_frac": 1.0,
        "rows": [
            _row(code, totals, scores)
            for code in ([ALL, *codes] if len(codes) > 1 else codes)
            for totals in totals_of(scores, code)
        ],
        "stages": [{"key": each, "words": stage_words(each, ""), "more": ""} for each in codes],
        "leads": [{"key": str(each), "words": lead_words(each), "more": ""} for each in sorted(LEADS_DAYS)],
        "drawing": _drawing(workspace, scores, drawn, lead_days),
        "notes": _notes(workspace),
    }


def _blank(state: str, words: str) -> Shape:
    return {
        "state": state,
        "words": words,
        "job": None,
        "progress_frac": 0.0,
        "rows": [],
        "stages": [],
        "leads": [],
        "drawing": None,
        "notes": [],
    }


def _pending(workspace: Workspace, tasks: Sequence[SeasonTask]) -> Shape:
    from ringwise.desk.long_work import CALIBRATION, Wanted, job_id

    held = None
    with suppress(NotFoundError):
        held = workspace.store.jobs.get(job_id(workspace, Wanted(CALIBRATION, "")))
    words = counted(
        "{n} spring is to be scored: each of its forecasts is made again with what was known then.",
        "{n} springs are to be scored: each of their forecasts is made again with what was known then.",
        len(tasks),
    )
    if held is None or held.ended:
        stopped = held is not None and held.state == "cancelled"
        reason = held.error if held is not None and held.state == "failed" else ""
        return _blank("stopped" if stopped or reason else "wanted", reason or words)
    return _blank("making", words) | {"job": held.id, "progress_frac": held.progress_frac}


def scores_kept(workspace: Workspace, tasks: Sequence[SeasonTask]) -> list[Score]:
    """The scores of growing years that were reckoned before.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tasks : sequence of SeasonTask
        Whose results are looked up; one that was never made is left out.

    Returns
    -------
    list of Score
        In the order of years.
    """
    from ringwise.phenology.scores import Score

    stored = [workspace.store.result_get(task.key) for task in tasks]
    return [Score(**each) for text in stored if text is not None for each in json.loads(text)["scores"]]


def _codes(scores: Sequence[Score]) -> list[str]:
    from ringwise.phenology.stages import ORDER

    return sorted({each.code for each in scores}, key=ORDER.index)


def totals_of(scores: Sequence[Score], code: str) -> list[Totals]:
    """The scores of a stage at each lead.

    Parameters
    ----------
    scores : sequence of Score
        Of any stage.
    code : str
        The stage, or `ALL`.

    Returns
    -------
    list of Totals
        Shortest lead first.
    """
    from ringwise.phenology.hindcast import LEADS_DAYS
    from ringwise.phenology.scores import totals

    chosen = [each for each in scores if code in (ALL, each.code)]
    return [totals(chosen, lead_days) for lead_days in sorted(LEADS_DAYS)]


def lead_words(lead_days: int) -> str:
    """How long before, in words.

    Parameters
    ----------
    lead_days : int
        Days.

    Returns
    -------
    str
        In the reader's language.

    Examples
    --------
    >>> lead_words(0), lead_words(7), lead_words(30)
    ('on the day', '1 week before', '30 days before')
    """
    if lead_days == 0:
        return _("on the day")
    if lead_days % _WEEK_DAYS == 0:
        return counted("{n} week before", "{n} weeks before", lead_days // _WEEK_DAYS)
    return counted("{n} day before", "{n} days before", lead_days)


def days_words(value_days: float) -> str:
    """An error in days.

    Parameters
    ----------
    value_days : float
        Days.

    Returns
    -------
    str
        Such as "5.4 d".

    Examples
    --------
    >>> days_words(5.42)
    '5.4 d'
    """
    return _("{n} d").format(n=show.fixed(value_days, 1))


def late_words(bias_days: float) -> str:
    """Which way forecasts lay.

    Parameters
    ----------
    bias_days : float
        Days by which they lay after what came.

    Returns
    -------
    str
        Such as "5.4 d late".

    Examples
    --------
    >>> late_words(5.42), late_words(-1.0), late_words(0.02)
    ('5.4 d late', '1.0 d early', 'neither')
    """
    if round(abs(bias_days), 1) == 0:
        return _("neither")
    words = _("{days} late") if bias_days > 0 else _("{days} early")
    return words.format(days=days_words(abs(bias_days)))


def _row(code: str, each: Totals, scores: Sequence[Score]) -> Shape:
    from ringwise.desk.calibration import verdict_words

    why = f"yard:calibration:{code}:{each.lead_days}"
    held = None if each.coverage_frac is None else round(each.coverage_frac * each.n)
    return {
        "code": code,
        "stage": _("all stages") if code == ALL else stage_words(code, ""),
        "lead_days": each.lead_days,
        "lead": lead_words(each.lead_days),
        "seen": each.n,
        "springs": each.seasons,
        "bias_days": _figure(each.bias_days, late_words, f"{why}:bias"),
        "off_days": _figure(each.mae_days, days_words, f"{why}:off"),
        "band_frac": told(
            each.coverage_frac,
            "" if held is None else _("{n} of {all}").format(n=held, all=each.n),
            f"{why}:band",
        ),
        "compared": each.compared,
        "compared_off_days": _figure(each.model_mae_days, days_words, f"{why}:compared"),
        "mean_off_days": _figure(each.mean_mae_days, days_words, f"{why}:mean"),
        "verdict": verdict_words(each),
    }


def _figure(value_days: float | None, words: object, why: str) -> Shape:
    assert callable(words)
    return told(value_days, "" if value_days is None else words(value_days), why)


def _summary(scores: Sequence[Score]) -> str:
    """The answer in one sentence: the middle lead, all stages, beside the own mean where there is one."""
    each = next(t for t in totals_of(scores, ALL) if t.lead_days == DRAWN_LEAD_DAYS)
    if each.compared:
        return _(
            "Two weeks ahead the forecast was off by {model}, the tree's own mean date by {mean}; over {n}."
        ).format(
            model=days_words(each.model_mae_days or 0.0),
            mean=days_words(each.mean_mae_days or 0.0),
            n=counted("{n} sighting", "{n} sightings", each.compared),
        )
    return _(
        "Two weeks ahead the forecast was off by {model}, over {n}; no tree has an own mean yet."
    ).format(model=days_words(each.mae_days or 0.0), n=counted("{n} sighting", "{n} sightings", each.n))


def _drawing(workspace: Workspace, scores: Sequence[Score], code: str, lead_days: int) -> Shape:
    names = {tree_number(tree): tree for tree in workspace.facts}
    south = workspace.settings.south
    chosen = sorted(
        (each for each in scores if (each.code, each.lead_days) == (code, lead_days)),
        key=lambda each: (-each.label, each.seen_index, each.tree),
    )
    drawn = _thinned(chosen, MOST_DRAWN)
    lines = [_line(workspace, each, names.get(each.tree, ""), south=south) for each in drawn]
    at = [edge for line in lines for edge in (line["low_at"], line["high_at"], line["seen_at"])]
    year = GrowingYear(max((each.label for each in drawn), default=workspace.year.label), south)
    return {
        "code": code,
        "stage": stage_words(code, ""),
        "lead_days": lead_days,
        "lead": lead_words(lead_days),
        "lines": lines,
        "left_out": len(chosen) - len(drawn),
        "ticks": _ticks(year, min(at, default=0.0), max(at, default=1.0)),
    }


def _thinned(scores: Sequence[Score], most: int) -> list[Score]:
    """At most so many, spread evenly over the order."""
    if len(scores) <= most:
        return list(scores)
    return [scores[round(k * (len(scores) - 1) / (most - 1))] for k in range(most)]


def _line(workspace: Workspace, score: Score, tree: str, *, south: bool) -> Shape:
    year = GrowingYear(score.label, south)
    low, median, high, seen = (
        year.day_at(index)
        for index in (score.low_index, score.median_index, score.high_index, score.seen_index)
    )
    return {
        "tree": tree,
        "name": workspace.facts[tree].tree.name if tree else "",
        "year": score.label,
        "low_at": score.low_index,
        "median_at": score.median_index,
        "high_at": score.high_index,
        "seen_at": score.seen_index,
        "mean_at": score.mean_index,
        "band_shown": show.span(low, high),
        "median_shown": show.day(median),
        "seen_shown": show.day(seen),
        "inside": score.inside,
    }


def _ticks(year: GrowingYear, first_index: float, last_index: float) -> list[Shape]:
    """The first days of months between two days of a growing year, as marks of an axis."""
    found = []
    first, last = year.day_at(first_index), year.day_at(last_index)
    number = first.year * 12 + first.month - 1
    while number <= last.year * 12 + last.month:
        when = first.replace(year=number // 12, month=number % 12 + 1, day=1)
        found.append({"at": float(year.day_index(when)), "words": show.month(when.month)})
        number += 1
    return found


def _notes(workspace: Workspace) -> list[str]:
    notes = [
        _("A band should hold 8 in 10. Trees of one spring err together: seasons count for more than trees.")
    ]
    if yard_series(workspace).invented:
        notes.append(_("Weather and records of this yard are invented."))
    return notes
