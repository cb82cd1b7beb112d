"""What it is worth to know more before acting, read from the futures lived: all, one input, or a kept sign.

Worths are shares of the aims. What is best after a sign is chosen on one half of the futures and judged on
the other, so that luck in the choice is not taken for knowledge.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray, IntArray

_LEAST_CLASS = 20  # futures; rarer signs are put together
_POWERS = 3  # an input acts on worth in a straight line or a bow


def perfect_information(worths: FloatArray) -> float:
    """What knowing every future in advance would add; no check can be worth more.

    Parameters
    ----------
    worths : (futures, courses) float
        Worth of each future under each course.

    Returns
    -------
    float
        0 or more.

    Source
    ------
    howard1966: expected value of perfect information, from memory.

    Examples
    --------
    >>> perfect_information(np.array([[1.0, 0.0], [0.0, 0.8]])).__round__(6)
    0.4
    """
    return float(worths.max(axis=1).mean() - worths.mean(axis=0).max())


def _halves(n: int) -> tuple[IntArray, IntArray]:
    rows = np.arange(n)
    return rows[::2], rows[1::2]


def _chosen_apart(worths: FloatArray, guess: FloatArray) -> float:
    """What choosing by a guess adds to the best single course; both (futures, courses)."""
    chosen = worths[np.arange(len(worths)), guess.argmax(axis=1)]
    return max(0.0, float(chosen.mean() - worths.mean(axis=0).max()))


def input_information(x: FloatArray, worths: FloatArray) -> float:
    """What knowing one input exactly would add.

    Parameters
    ----------
    x : (futures,) float
        The input of each future.
    worths : (futures, courses) float
        Worth of each future under each course.

    Returns
    -------
    float
        0 or more.

    Source
    ------
    strong2014: partial perfect information by regression on the input, from memory; a quadratic, fitted on
    one half of the futures and judged on the other, is own.

    Examples
    --------
    >>> x = np.linspace(-1.0, 1.0, 400)
    >>> bool(abs(input_information(x, np.stack([x, -x], axis=1)) - 0.5) < 0.01)
    True
    """
    if float(np.ptp(x)) <= 0 or len(x) < 4 * _POWERS:
        return 0.0
    base = np.vander((x - x.mean()) / x.std(), _POWERS)
    guess = np.empty_like(worths)
    for fitted, judged in (_halves(len(x)), _halves(len(x))[::-1]):
        guess[judged] = base[judged] @ np.linalg.lstsq(base[fitted], worths[fitted], rcond=None)[0]
    return _chosen_apart(worths, guess)


def sign_classes(seen: FloatArray) -> IntArray:
    """Futures by what has been seen in them; rare sights count as one.

    Parameters
    ----------
    seen : (futures, signs) float
        What each future shows.

    Returns
    -------
    (futures,) int
        Class of each, the most frequent 0; -1 for all rare ones together.

    Source
    ------
    own.

    Examples
    --------
    >>> sign_classes(np.repeat([[1.0], [0.0]], (30, 40), axis=0))[[0, 69]].tolist()
    [1, 0]
    """
    _rows, place, counts = np.unique(seen, axis=0, return_inverse=True, return_counts=True)
    order = np.argsort(-counts, kind="stable")
    number = np.empty(len(order), np.int64)
    number[order] = np.where(counts[order] >= _LEAST_CLASS, np.arange(len(order)), -1)
    return np.asarray(number[place.reshape(-1)])


@dataclass(frozen=True)
class SignClass:
    """Futures that show one sign: their share, and the mean worth of each choice among them."""

    share_frac: float
    worths: tuple[float, ...]


@dataclass(frozen=True)
class WaitFromLives:
    """What it is worth to wait for a sign with one course and then go on, or take the other one late.

    `now` is the better of both begun today; `break_even_late` the least worth of acting late at which waiting
    is right, None where it is right whatever acting late is worth.
    """

    years: int
    now: float
    wait: float
    evsi: float
    evpi: float
    late: float
    break_even_late: float | None
    classes: tuple[SignClass, ...]


def worth_of_waiting_lived(
    keep: FloatArray, late: FloatArray, now: float, seen: FloatArray, years: int
) -> WaitFromLives:
    """What a sign adds, from futures in which it was seen.

    Parameters
    ----------
    keep, late : (futures,) float
        Worth of each future if one waits and goes on, and if the other course is begun at the check.
    now : float
        Mean worth of the better course begun now.
    seen : (futures, signs) float
        What each future shows at the check.
    years : int
        When that is.

    Returns
    -------
    WaitFromLives
        `evsi` is below 0 where waiting costs more than the sign tells.

    Source
    ------
    howard1966: sample information, from memory; classes of the kept sign are own.

    Examples
    --------
    >>> taken = np.arange(400) % 2 == 0
    >>> keep, late = np.where(taken, 1.0, 0.35), np.full(400, 0.66)
    >>> found = worth_of_waiting_lived(keep, late, 0.7, taken[:, None].astype(float), 1)
    >>> round(found.wait, 6), round(found.evsi, 6), round(found.break_even_late, 6)
    (0.83, 0.13, 0.4)
    """
    worths = np.stack([keep, late], axis=1)
    classes = sign_classes(seen)
    guess = np.empty_like(worths)
    told = []
    for number in np.unique(classes).tolist():
        rows = np.nonzero(classes == number)[0]
        means = worths[rows].mean(axis=0)
        told.append(SignClass(len(rows) / len(keep), tuple(means.tolist())))
        for chosen, judged in (_halves(len(rows)), _halves(len(rows))[::-1]):
            guess[rows[judged]] = worths[rows[chosen]].mean(axis=0) if len(chosen) else means
    wait = float(worths[np.arange(len(keep)), guess.argmax(axis=1)].mean())
    told.sort(key=lambda each: -each.share_frac)
    return WaitFromLives(
        years=years,
        now=now,
        wait=wait,
        evsi=wait - now,
        evpi=float(worths.max(axis=1).mean()) - now,
        late=float(late.mean()),
        break_even_late=break_even(tuple(told), now),
        classes=tuple(told),
    )


def break_even(classes: tuple[SignClass, ...], now: float) -> float | None:
    """The least worth of acting late at which waiting for the sign is no worse than deciding now.

    Parameters
    ----------
    classes : tuple of SignClass
        Their first worth is that of going on.
    now : float
        Worth of the better course begun now.

    Returns
    -------
    float or None
        None where going on alone is worth as much.

    Source
    ------
    own: waiting rises with the worth of acting late in straight pieces.

    Examples
    --------
    >>> round(break_even((SignClass(0.5, (1.0,)), SignClass(0.5, (0.35,))), 0.7), 6)
    0.4
    """
    keeping = sum(each.share_frac * each.worths[0] for each in classes)
    if keeping >= now:
        return None
    rising = sorted(classes, key=lambda each: each.worths[0])
    acting = 0.0
    for place, each in enumerate(rising):
        acting += each.share_frac
        keeping -= each.share_frac * each.worths[0]
        late = (now - keeping) / acting
        if place + 1 == len(rising) or late <= rising[place + 1].worths[0]:
            return late
    return None
