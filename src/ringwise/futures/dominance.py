"""Whether one lot of outcomes stands above another whatever the taste for risk: stochastic dominance."""

from __future__ import annotations

import numpy as np

from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

FIRST, SECOND, NEITHER = "first", "second", "none"
_TIE = 1e-12  # of the span: rounding of sums


def _known(values: FloatArray) -> FloatArray:
    known = np.sort(np.asarray(values, dtype=np.float64))
    if known.size == 0 or np.isnan(known[-1]):
        raise out_of_range(_("outcomes to compare"), str(known.size), _("1 or more, all of them known"))
    return known


def _shares_below(values: FloatArray, at: FloatArray) -> FloatArray:
    return np.searchsorted(values, at, side="right") / values.size


def dominates(values: FloatArray, others: FloatArray, order: str = FIRST) -> bool:
    """Whether outcomes dominate others; more is better.

    Parameters
    ----------
    values, others : (n,), (m,) float
        Equally likely outcomes of each, all known.
    order : str
        "first": at every level no smaller a share reaches it, so that anyone who wants more prefers it.
        "second": also anyone who wants more and shuns risk prefers it.

    Returns
    -------
    bool
        False also where both are alike.

    Raises
    ------
    RangeError
        If one is empty or holds an unknown outcome.

    Source
    ------
    hadar_russell1969: the rules of first and second order, from memory.

    Examples
    --------
    >>> a, b = np.array([4.0, 5.0, 6.0, 7.0]), np.array([2.0, 5.0, 6.0, 8.0])
    >>> dominates(a, b), dominates(a, b, "second"), dominates(b, a, "second")
    (False, True, False)
    """
    first, second = _known(values), _known(others)
    levels = np.unique(np.concatenate([first, second]))
    behind = _shares_below(second, levels) - _shares_below(first, levels)
    least = _TIE
    if order == SECOND:  # the area between the two curves up to each level
        behind = np.cumsum(behind[:-1] * np.diff(levels))
        least = _TIE * max(float(np.ptp(levels)), 1e-300)
    if behind.size == 0:
        return False
    return bool((behind >= -least).all() and (behind > least).any())


def dominance(values: FloatArray, others: FloatArray) -> str:
    """The strongest order in which outcomes dominate others.

    Parameters
    ----------
    values, others : (n,), (m,) float
        Equally likely outcomes of each, all known.

    Returns
    -------
    str
        "first", "second" or "none".

    Raises
    ------
    RangeError
        As `dominates`.

    Source
    ------
    hadar_russell1969: as `dominates`.

    Examples
    --------
    >>> dominance(np.array([2.0, 3.0]), np.array([1.0, 3.0]))
    'first'
    """
    for order in (FIRST, SECOND):
        if dominates(values, others, order):
            return order
    return NEITHER
