"""Which uncertain input moves the difference between two courses most: rank correlation with its draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.futures.outcome import Lives
from ringwise.growth.draws import DRAWN_NAMES
from ringwise.kit.errors import unknown_name
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

LEAST_PAIRS = 20  # below this a rank correlation is mostly noise


@dataclass(frozen=True)
class Drive:
    """An input that moves a difference: rank correlation, its square as share, the courses and measure."""

    input: str
    first: str
    second: str
    measure: str
    after_years: int
    correlation_ratio: float
    share_frac: float


def input_words(name: str) -> str:
    """A drawn input in the grower's words.

    Parameters
    ----------
    name : str
        A value of `growth.draws.DRAWN_NAMES`.

    Returns
    -------
    str
        Words.

    Raises
    ------
    UnknownNameError
        If there is no such input.

    Source
    ------
    own.

    Examples
    --------
    >>> input_words("rooting")
    'chance that a ring roots'
    """
    words = {
        "pipe": _("wood that each leaf asks for"),
        "area_exponent": _("how thickness adds up at forks"),
        "sapwood_life": _("how long wood carries water"),
        "pot_exponent": _("how hard a small pot holds growth back"),
        "vigour": _("vigour of this tree against its kind"),
        "budget_units": _("growth of a well-lit shoot"),
        "apical_control": _("how strongly the top leads"),
        "epicormic": _("how readily old wood shoots"),
        "leaf_capacity": _("leaf that the pot can feed"),
        "wood_budget": _("wood made by each leaf"),
        "unit_length": _("length of a growth unit"),
        "rooting": _("chance that a ring roots"),
        "severed_survival": _("chance to live once separated"),
        "root_sector": _("share of the ring that roots"),
        "union": _("chance that a graft takes"),
        "closure": _("how fast wounds close"),
    }
    if name not in words:
        raise unknown_name(_("input"), name, words)
    return words[name]


def _ranks(values: FloatArray) -> FloatArray:
    """Ranks, equal values sharing their mean rank."""
    _unique, inverse, counts = np.unique(values, return_inverse=True, return_counts=True)
    ends = np.cumsum(counts)
    middle = ends - (counts - 1) / 2.0
    return np.asarray(middle[inverse], dtype=np.float64).reshape(values.shape)


def rank_correlation(x: FloatArray, y: FloatArray) -> float:
    """Spearman's rank correlation.

    Parameters
    ----------
    x, y : (n,) float
        Values without NaN.

    Returns
    -------
    float
        -1 to 1; 0 where either does not vary.

    Source
    ------
    own: Pearson's correlation of mean ranks.

    Examples
    --------
    >>> round(rank_correlation(np.array([1.0, 2.0, 3.0]), np.array([1.0, 4.0, 9.0])), 12)
    1.0
    """
    a, b = _ranks(x), _ranks(y)
    a, b = a - a.mean(), b - b.mean()
    size = float(np.sqrt((a * a).sum() * (b * b).sum()))
    return float((a * b).sum()) / size if size > 0 else 0.0


def drivers_of(first: Lives, second: Lives, measure: str, after_years: int) -> tuple[Drive, ...]:
    """The drawn inputs ordered by how much of the paired difference they explain.

    Parameters
    ----------
    first, second : Lives
        Two courses with the same seed and futures.
    measure : str
        Whose difference.
    after_years : int
        When.

    Returns
    -------
    tuple of Drive
        Strongest first; none where fewer than twenty pairs are alive or nothing differs.

    Source
    ------
    own: squared rank correlation with each future's input.

    Examples
    --------
    >>> from ringwise.futures.outcome import KEPT
    >>> from ringwise.growth import layout as at
    >>> low, high = np.ones((30, 2, KEPT)), np.ones((30, 2, KEPT))
    >>> inputs = np.zeros((30, at.PARAMETERS)); inputs[:, at.P_LAYER] = np.arange(30.0)
    >>> high[:, 1, 1] = np.arange(30.0)
    >>> a, b = (Lives(k, 0, 1, "x", v, inputs) for k, v in (("a", low), ("b", high)))
    >>> drivers_of(a, b, "base_mm", 1)[0].input
    'rooting'
    """
    difference = second.of(measure)[:, after_years] - first.of(measure)[:, after_years]
    known = ~np.isnan(difference)
    if known.sum() < LEAST_PAIRS or np.ptp(difference[known]) == 0:
        return ()
    drives = []
    for index, name in DRAWN_NAMES.items():
        r = rank_correlation(first.parameters[known, index], difference[known])
        drives.append(Drive(name, first.course, second.course, measure, after_years, r, r * r))
    return tuple(sorted(drives, key=lambda drive: -drive.share_frac))
