"""What came of a run, as the app shows it: words before digits, values beside them; no course is ranked."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

from ringwise.desk.lives import plain
from ringwise.desk.turning_weighed import weighed_told
from ringwise.kit import show
from ringwise.kit.words import _, counted, from_data

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.futures.view import Cell, CourseText, FuturesView, Outcome, Paired

_HIGHEST_SHARE = 0.4  # of losses: beyond it they are told in tenths


def lost_words(lost: int, futures: int, *, of_top: bool = False) -> str:
    """In how many futures the tree is lost, as a chance with the counts behind it.

    Parameters
    ----------
    lost, futures : int
        Counts; of a separated layer those of its top.
    of_top : bool
        Whether a stump was kept beside it.

    Returns
    -------
    str
        Words first.

    Examples
    --------
    >>> lost_words(0, 200), lost_words(20, 200)
    ('The tree is lost in none of 200 futures.', 'The tree is lost in about 1 in 10 (20 of 200 futures).')
    >>> lost_words(20, 200, of_top=True)
    'The separated top is lost in about 1 in 10 (20 of 200 futures).'
    """
    if lost == 0:
        return _("The tree is lost in none of {n} futures.").format(n=futures)
    share = lost / futures
    if share > _HIGHEST_SHARE:
        told = _("about {n} in 10").format(n=round(share * 10))
    else:
        one_in = 1.0 / share
        told = _("about 1 in {n}").format(n=round(one_in) if one_in < 15 else round(one_in / 5) * 5)
    words = _("The tree is lost in {chance} ({lost} of {n} futures).")
    if of_top:
        words = _("The separated top is lost in {chance} ({lost} of {n} futures).")
    return words.format(chance=told, lost=lost, n=futures)


def second_words(cell: Cell) -> str:
    """In how many futures a second tree lives on beside the first, and in how many none is left.

    Parameters
    ----------
    cell : Cell
        A course after so many years.

    Returns
    -------
    str
        Blank where no course of work gave a second tree.

    Examples
    --------
    >>> from ringwise.futures.view import Cell
    >>> second_words(Cell("A", 5, (), (), lost=40, futures=200, second=150, none_left=2))
    'The stump lives on as a second tree in 150 of 200 futures; no tree is left in 2.'
    """
    if not cell.second:
        return ""
    words = _("The stump lives on as a second tree in {n} of {all} futures; no tree is left in {none}.")
    if not cell.none_left:
        words = _("The stump lives on as a second tree in {n} of {all} futures; a tree is left in all.")
    return words.format(n=cell.second, all=cell.futures, none=cell.none_left)


def result_told(view: FuturesView, ids: dict[str, str]) -> Shape:
    """A run's values and words, without drawings.

    Parameters
    ----------
    view : FuturesView
        Worded in the reader's language.
    ids : dict of str to str
        The name of each course by its letter.

    Returns
    -------
    dict
        The keys of `faces/web/shapes/turning.TurningResult` but for id and look.
    """
    told: Shape = {
        "question": view.question,
        "made_shown": view.made_on,
        "front": view.front,
        "pot": None if view.pot is None else asdict(view.pot),
        "facts": [{"label": label, "shown": text} for label, text in view.facts],
        "horizons": list(view.horizons),
        "measures": [asdict(measure) for measure in view.measures],
        "courses": [_course(view, course, ids) for course in view.courses],
        "weighed": None if view.weighed is None else weighed_told(view.weighed),
        "pairs": [_pair(view, pair) for pair in view.paired],
        "drivers": [
            asdict(driver)
            | {"share_shown": show.percent(driver.share_frac), "basis": from_data(driver.basis)}
            for driver in view.drivers
        ],
        "signs": [asdict(sign) for sign in view.signs],
        "origins": [asdict(origin) | {"basis": from_data(origin.basis)} for origin in view.origins],
        "cautions": list(view.cautions),
        "notes": list(view.notes),
    }
    shaped: Shape = plain(told)
    return shaped


def _course(view: FuturesView, course: CourseText, ids: dict[str, str]) -> Shape:
    hours = next(each for each in view.hours if each.course == course.key)
    total = hours.total_h
    return {
        "key": course.key,
        "id": ids[course.key],
        "title": course.title,
        "words": course.words,
        "steps": list(course.steps),
        "cells": [_cell(view, view.cell(course.key, year)) for year in view.horizons],
        "hours": {
            "low_h": total.low,
            "median_h": total.median,
            "high_h": total.high,
            "words": _("about {middle} h of work ({low} to {high})").format(
                middle=show.number(total.median, 2),
                low=show.number(total.low, 2),
                high=show.number(total.high, 2),
            ),
            "by_year_h": list(hours.by_year_h),
        },
    }


def _cell(view: FuturesView, cell: Cell) -> Shape:
    when = counted("after {n} year", "after {n} years", cell.after_years) if cell.after_years else _("now")
    return {
        "after_years": cell.after_years,
        "when": when,
        "lost": cell.lost,
        "futures": cell.futures,
        "lost_words": _lost(cell) if cell.after_years else "",
        "second": cell.second,
        "second_words": second_words(cell),
        "pot": None if cell.pot is None else asdict(cell.pot),
        "outcomes": [_outcome(view, each, one=cell.after_years == 0) for each in cell.outcomes],
    }


def _lost(cell: Cell) -> str:
    return lost_words(cell.lost, cell.futures, of_top=cell.second > 0)


def _outcome(view: FuturesView, outcome: Outcome, *, one: bool) -> Shape:
    from ringwise.futures.measured import measured, measured_span

    measure = view.measure(outcome.measure)
    band = outcome.band
    middle, span = measured(measure, band.median), measured_span(measure, band.low, band.high)
    spread = "" if one or span == middle else _("8 in 10: {span}").format(span=span)
    return {
        "measure": outcome.measure,
        "low": band.low,
        "median": band.median,
        "high": band.high,
        "shown": middle,
        "spread_shown": spread,
        "dots": list(outcome.dots),
    }


def _pair(view: FuturesView, pair: Paired) -> Shape:
    first, second, more, fewer = pair.first, pair.second, pair.first_more, pair.second_more
    if fewer > more:
        first, second, more, fewer = second, first, fewer, more
    measure = view.measure(pair.measure)
    chance = show.chance(more / pair.futures) if pair.futures else _("unknown")
    return {
        "measure": pair.measure,
        "after_years": pair.after_years,
        "first": first,
        "second": second,
        "first_more": more,
        "second_more": fewer,
        "futures": pair.futures,
        "words": _("{a} {more} than {b}: {chance} ({n} of {all} futures, the other way round in {m})").format(
            a=first, b=second, more=measure.more, chance=chance, n=more, m=fewer, all=pair.futures
        ),
    }
