"""A weighed turning in words: ranges, times, turns and what waiting is worth."""

from __future__ import annotations

import math
from collections.abc import Mapping

from ringwise.futures.aims import Wish, weighing
from ringwise.futures.drivers import input_words
from ringwise.futures.flips import CHANCES, Flip
from ringwise.futures.measure_words import measure_text
from ringwise.futures.weighed import CourseWorth, Wait
from ringwise.kit import show
from ringwise.kit.words import _, counted

_LEAST_PROB = 0.05  # beyond it tenths say "under" or "over", which is no value to compare with

Titles = Mapping[str, str]


def value_words(measure: str, value: float) -> str:
    """A measure's value with its unit.

    Parameters
    ----------
    measure : str
        Its key.
    value : float
        In the unit used inside.

    Returns
    -------
    str
        Words.

    Source
    ------
    own.

    Examples
    --------
    >>> value_words("first_branch_frac", 0.3), value_words("strahler_n", 5)
    ('30%', '5')
    """
    unit = measure_text(measure).unit
    if unit == "mm":
        return show.length(value)
    return show.percent(value) if unit == "frac" else show.number(value, 2)


def range_words(wish: Wish) -> str:
    """The range of a wish in words.

    Parameters
    ----------
    wish : Wish
        What is aimed at.

    Returns
    -------
    str
        Where it counts fully.

    Source
    ------
    own.

    Examples
    --------
    >>> range_words(Wish("strahler_n", 1.0, 2.0, 5.0))
    '5 or more'
    >>> range_words(Wish("taper_ratio", 1.0, 0.1, 0.3, 0.6, 0.9))
    '0.3 to 0.6'
    """
    low, high = (
        None if end is None else value_words(wish.measure, end) for end in (wish.full_from, wish.full_to)
    )
    if low is None and wish.full_to == 0:
        return _("none")
    if low is None:
        return _("{high} or less").format(high=high)
    if high is None:
        return _("{low} or more").format(low=low)
    return show.spanned(low, high)


def until_words(course: CourseWorth, years: int) -> str:
    """When a course meets the aims, as a distribution in words.

    Parameters
    ----------
    course : CourseWorth
        Weighed.
    years : int
        Length of the run.

    Returns
    -------
    str
        Also that it does not within the run.

    Source
    ------
    own.

    Examples
    --------
    >>> import numpy as np
    >>> from ringwise.kit.ranged import Ranged
    >>> never = CourseWorth("a", np.zeros(1), Ranged(0, 0, 0), {}, (None, None, None), 1.0, 0.0)
    >>> until_words(never, 25)
    'not within 25 years in any future'
    """
    early, middle, late = course.until_met_years
    span = counted("{n} year", "{n} years", years)
    if early is None and course.never_frac >= 1.0:
        return _("not within {span} in any future").format(span=span)
    if middle is None:
        return _("not within {span} in most futures ({chance} that it does)").format(
            span=span, chance=show.chance(1.0 - course.never_frac)
        )
    if middle == 0:
        return _("met today in most futures")
    if early == middle == late:
        return counted("in {n} year", "in {n} years", round(middle))
    end = _("not within {span}").format(span=span) if late is None else str(round(late))
    return _("in about {middle} years; 1 in 10 by {early}, 9 in 10 by: {late}").format(
        middle=round(middle), early=round(early or 0.0), late=end
    )


def _at(name: str, value: float, now: float, fine_steps: bool) -> str:
    if name in CHANCES:
        return _("{n} in 100").format(n=round(100 * value)) if fine_steps else show.odds(value)
    ratio = math.exp(value - now) if name == "vigour" else value / now
    return _("{x} times what is assumed").format(x=show.fixed(ratio, 2))


def flip_words(flip: Flip, titles: Titles) -> str:
    """What would turn the preference, in words.

    Parameters
    ----------
    flip : Flip
        An input and its value.
    titles : mapping of str to str
        Short key of each course.

    Returns
    -------
    str
        Words.

    Source
    ------
    own.

    Examples
    --------
    >>> flip_words(Flip("rooting", "layer", "keep", 0.7, 0.42, 200.0), {"layer": "A", "keep": "B"})
    'chance that a ring roots: B where it is below 4 in 10, A above that; 7 in 10 is taken'
    """
    chance = flip.input in CHANCES
    near = show.odds(flip.now) == show.odds(flip.at) or not _LEAST_PROB <= flip.at <= 1.0 - _LEAST_PROB
    fine_steps = chance and near
    where = {
        "input": input_words(flip.input),
        "at": _at(flip.input, flip.at, flip.now, fine_steps),
        "below": titles[flip.below],
        "above": titles[flip.above],
    }
    if not chance:
        return _("{input}: {below} where it is below {at}, {above} above that").format(**where)
    taken = _at(flip.input, flip.now, flip.now, fine_steps)
    return _("{input}: {below} where it is below {at}, {above} above that; {now} is taken").format(
        **where, now=taken
    )


def wait_words(wait: Wait, titles: Titles) -> str:
    """What waiting for a sign is worth, in words.

    Parameters
    ----------
    wait : Wait
        Waiting with one course instead of beginning the other.
    titles : mapping of str to str
        Short key of each course.

    Returns
    -------
    str
        With the break-even of acting late.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.futures.learning import WaitFromLives
    >>> found = WaitFromLives(1, 0.7, 0.7735, 0.0735, 0.13, 0.66, 0.5053, ())
    >>> wait_words(Wait("keep", "redo", found), {"keep": "A", "redo": "B"})[:46]
    'Waiting 1 year pays: go on with A, look for it'
    """
    found, keep, act = wait.found, titles[wait.keep], titles[wait.act]
    least = weighing("telling", "least_frac")
    span = counted("{n} year", "{n} years", found.years)
    told = {"span": span, "keep": keep, "act": act, "wait": fine(found.wait), "now": fine(found.now)}
    if found.evsi >= least:
        text = _(
            "Waiting {span} pays: go on with {keep}, look for its sign, then keep {keep} or begin {act}; "
            "that meets {wait} of the aims, deciding today {now}."
        ).format(**told)
    elif found.evsi > -least:
        text = _(
            "Waiting {span} costs next to nothing: go on with {keep}, look for its sign, then keep {keep} or "
            "begin {act}; that meets {wait} of the aims, deciding today {now}."
        ).format(**told)
    else:
        text = _(
            "Waiting {span} costs more than its sign tells: with {keep} first, then {keep} or {act}, {wait} "
            "of the aims are met, deciding today {now}."
        ).format(**told)
    if found.break_even_late is None:
        return text
    rest = _(
        "It is right as long as {act} begun that late still meets {even}; by these futures it meets {late}."
    ).format(act=act, even=fine(found.break_even_late), late=fine(found.late))
    return f"{text} {rest}"


def fine(frac: float) -> str:
    """A share of the aims to a tenth of a percent, for small differences.

    Parameters
    ----------
    frac : float
        Share, 0 to 1.

    Returns
    -------
    str
        Words.

    Source
    ------
    own.

    Examples
    --------
    >>> fine(0.0735)
    '7.3%'
    """
    return _("{n}%").format(n=show.fixed(100 * frac, 1))
